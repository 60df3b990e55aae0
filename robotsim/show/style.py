"""Style: the one look of all figures, and the few ways in which they place text.

Everything reads without colour: lines differ in dashes and markers, areas in
hatching, and each thing carries its name beside it instead of in a legend.
Only matplotlib's object interface is used: no window opens, and nothing that a
learner has set up for figures of their own is changed.
"""

from __future__ import annotations

import functools
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from .colours import INK, PAPER, QUIET, RULE
from .stage import stage_figure

__all__ = [
    "SIZE",
    "SMALL",
    "TITLE",
    "clean",
    "drawable",
    "fitted",
    "new_figure",
    "spread",
    "styled",
    "text_inches",
    "time_ticks",
    "unlabelled",
]

SMALL, SIZE, TITLE = 10.0, 10.0, 13.0
"""Sizes of text in points: tick labels, labels, the head of a figure."""


_FONT = "DejaVu Sans"  # comes with matplotlib, so a figure looks the same on every machine
_RC: dict[str, Any] = {
    "font.family": [_FONT],
    "font.size": SIZE,
    "text.color": INK,
    "text.parse_math": False,  # a learner's text may hold a dollar sign
    "text.usetex": False,
    "axes.edgecolor": QUIET,
    "axes.facecolor": PAPER,
    "axes.labelcolor": QUIET,
    "axes.labelsize": SMALL,
    "axes.linewidth": 0.6,
    "axes.grid": False,
    "axes.unicode_minus": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.xmargin": 0.0,
    "axes.ymargin": 0.0,
    "figure.facecolor": PAPER,
    "grid.color": RULE,
    "grid.linewidth": 0.6,
    "hatch.linewidth": 0.6,
    "lines.linewidth": 1.4,
    "lines.solid_capstyle": "round",
    "path.simplify": True,
    "savefig.facecolor": PAPER,
    "svg.fonttype": "path",
    "svg.hashsalt": "quayside",
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.major.size": 2.5,
    "ytick.major.size": 2.5,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "xtick.direction": "out",
    "ytick.direction": "out",
}


@contextmanager
def styled() -> Iterator[None]:
    """Draw in our style inside the `with` block; afterwards all is as before."""
    with matplotlib.rc_context(_RC):  # type: ignore[arg-type]
        yield


def new_figure(width: float, height: float) -> Figure:
    """Give an empty figure of a size in inches that no window will ever show."""
    if (staged := stage_figure(width, height)) is not None:
        return staged
    figure = Figure(figsize=(width, height), dpi=100)
    FigureCanvasAgg(figure)
    return figure


@functools.cache
def _font() -> Any:
    found = font_manager.findfont(font_manager.FontProperties(family=_FONT))
    return font_manager.get_font(found), frozenset(font_manager.get_font(found).get_charmap())


def drawable(text: str) -> str:
    """Give a text with every character that the font lacks, or that has no shape, replaced.

    Without this a figure would warn about a learner's text in another script.
    """
    known = _font()[1]
    shown = []
    for char in text:
        if unicodedata.category(char)[0] in "CZ":
            shown.append(" ")
        else:
            shown.append(char if ord(char) in known else "\N{WHITE SQUARE}")
    return "".join(shown)


@functools.lru_cache(maxsize=4096)
def text_inches(text: str, size: float = SIZE) -> float:
    """Give the width that a text takes, in inches."""
    font = _font()[0]
    font.set_size(size, 72)
    font.set_text(drawable(text), 0.0)
    return float(font.get_width_height()[0]) / 64.0 / 72.0


def fitted(text: str, inches: float, size: float = SIZE) -> str:
    """Give a text, cut with an ellipsis where it is wider than `inches`; "" if nothing fits."""
    text = drawable(text)
    if text_inches(text, size) <= inches:
        return text
    while text and text_inches(text + "…", size) > inches:
        text = text[: -max(1, len(text) // 8)]
    return text.rstrip() + "…" if text.strip() else ""


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Move positions as little as need be until they are `apart` and inside low..high.

    The order stays.  With more than fit, they are spaced evenly.
    """
    number = len(wanted)
    if number == 0:
        return []
    if apart * (number - 1) >= high - low:
        step = (high - low) / max(number - 1, 1)
        spaced = [low + k * step for k in range(number)]
    else:
        order = sorted(wanted)
        spaced = []
        for value in order:
            spaced.append(max(value, spaced[-1] + apart if spaced else low))
        top = high
        for k in range(number - 1, -1, -1):
            spaced[k] = min(spaced[k], top)
            top = spaced[k] - apart
    placed = [0.0] * number
    for rank, k in enumerate(sorted(range(number), key=lambda i: wanted[i])):
        placed[k] = spaced[rank]
    return placed


def time_ticks(length: float, most: int = 8) -> list[float]:
    """Give round times from 0 to `length` (s), at most about `most` of them."""
    step = 0.001
    steps = (2.0, 2.5, 2.0)
    k = 0
    while length / step > most:
        step *= steps[k % 3]
        k += 1
    return [round(step * i, 6) for i in range(int(length / step + 1e-9) + 1)]


def unlabelled(axes: Axes) -> None:
    """Let nobody look for a free place for labels of the axes, which here there are none of."""
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_label_coords(0.0, 0.0)


def clean(axes: Axes) -> None:
    """Take every line, tick and label off an axes."""
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_visible(False)
