"""Detail: the tug enlarged, bow up, each lamp with its name and what it shows."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..recording import Recording
from ..wiring import LAMPS
from .colours import INK, PAPER, QUIET, lamp_words
from .scene import HULL, LAMP_PLACES, draw_tug
from .style import SIZE, SMALL

__all__ = ["draw_detail"]


def draw_detail(
    drawn: Figure, recording: Recording, box: tuple[float, float, float, float]
) -> None:
    """Draw the tug enlarged, bow up, with each lamp's name and what it shows at the end."""
    left, top, width, height = box
    full_w, full_h = drawn.get_figwidth(), drawn.get_figheight()
    axes = drawn.add_axes(
        (left / full_w, 1 - (top + height) / full_h, width / full_w, height / full_h),
        label="the tug at the end",
    )
    axes.axis("off")
    tall = 2 * HULL + (0.046 if "arm" in recording.tracks else 0.02)
    scale = (height - 0.3) / tall
    axes.set_xlim(-width / 2 / scale, width / 2 / scale)
    middle = tall / 2 - HULL - 0.008
    axes.set_ylim(middle - height / 2 / scale, middle + height / 2 / scale)
    lamps = recording.lamps_at(recording.seconds)
    arm = recording.tracks.get("arm")
    draw_tug(axes, (0.0, 0.0, math.pi / 2), lamps, arm[-1] if arm else None, line_width=1.6)
    for name, (ahead, port), y, side in _callouts():
        if LAMPS.index(name) >= len(lamps):
            continue  # this tug's chain is shorter
        colour = lamps[LAMPS.index(name)]
        _call_out(axes, (-port, ahead), (side * 1.42 * HULL, y), name, lamp_words(colour), side)
    heading = f"the tug at {recording.seconds:g} s, bow up"
    axes.text(0.02 + 0.3 / width, 0.99, heading, transform=axes.transAxes, fontsize=SMALL,
              color=INK, fontweight="bold", va="top")  # fmt: skip


def _callouts() -> list[tuple[str, tuple[float, float], float, int]]:
    """Give for each lamp: name, place, height of its label (m), side (-1 left, 1 right)."""
    sides = {"port bow": (0.036, -1), "starboard bow": (0.036, 1), "mast": (0.004, 1),
             "deck": (-0.016, -1), "stern": (-0.044, 1)}  # fmt: skip
    return [(name, LAMP_PLACES[LAMPS.index(name)], *sides[name]) for name in LAMPS]


def _call_out(
    axes: Axes, lamp: tuple[float, float], place: tuple[float, float], name: str, said: str,
    side: int,
) -> None:  # fmt: skip
    align = "left" if side > 0 else "right"
    x, y = place
    for colour, wide in ((PAPER, 2.4), (INK, 0.7)):  # a pale casing where it crosses a wheel
        axes.plot([lamp[0] + side * 0.0075, x - side * 0.006], [lamp[1], y], color=colour,
                  linewidth=wide, zorder=7, gid="leader")  # fmt: skip
    axes.text(x, y + 0.001, name, ha=align, va="bottom", fontsize=SMALL, color=QUIET)
    axes.text(x, y - 0.001, said, ha=align, va="top", fontsize=SIZE, color=INK,
              fontweight="bold" if said != "dark" else "normal", gid=f"shows {name}")  # fmt: skip
