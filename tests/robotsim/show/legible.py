"""What can be read of a picture: its texts, where they stand, and whether any is in the way."""

from __future__ import annotations

import itertools
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from robotsim.show.style import styled


def artists(axes: Axes, gid: str) -> list[Any]:
    """Give what was drawn into axes under a name."""
    return [a for a in axes.get_children() if a.get_gid() == gid]


def written(drawn: Figure) -> list[tuple[Text, Bbox]]:
    """Give all visible texts of a figure with their boxes in dots."""
    with styled():
        drawn.draw_without_rendering()  # texts stand where drawing puts them; no dot is needed
    renderer = drawn.canvas.get_renderer()  # type: ignore[attr-defined]
    unseen = set()  # matplotlib keeps tick labels outside the limits, and does not draw them
    for axis in (axis for axes in drawn.axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = sorted(axis.get_view_interval())
        pad = 1e-6 * (high - low)
        for tick in axis.get_major_ticks():
            if not axis.axes.axison or not low - pad <= tick.get_loc() <= high + pad:
                unseen |= {tick.label1, tick.label2}
    found = []
    for text in drawn.findobj(Text):
        if text.get_text().strip() and text.get_visible() and text not in unseen:
            found.append((text, text.get_window_extent(renderer)))
    return found


def check_within(drawn: Figure, margin: float = 0.0) -> None:
    """Hold that no text comes nearer to the picture's edge than a margin, in dots."""
    wide, high = drawn.get_size_inches() * drawn.dpi
    for text, box in written(drawn):
        assert margin <= box.x0 and box.x1 <= wide - margin, text.get_text()
        assert margin <= box.y0 and box.y1 <= high - margin, text.get_text()


def check_apart(drawn: Figure) -> None:
    """Hold that no two texts overlap."""
    for (one, a), (other, b) in itertools.combinations(written(drawn), 2):
        wide = min(a.x1, b.x1) - max(a.x0, b.x0)
        high = min(a.y1, b.y1) - max(a.y0, b.y0)
        # a box reaches from the tallest to the deepest letter: let boxes touch, not letters
        assert wide < 1 or high < 2.5, f"{one.get_text()!r} and {other.get_text()!r} overlap"
