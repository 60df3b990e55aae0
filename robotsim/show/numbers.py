"""Numbers: the outcome of a run as a small table of figures."""

from __future__ import annotations

import math

from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from ..recording import Recording
from .colours import INK, QUIET, RULE
from .facts import journey
from .strips import speeds
from .style import SIZE, SMALL

__all__ = ["draw_numbers", "rows"]


def rows(recording: Recording) -> list[tuple[str, str]]:
    """Give (what, how much) of where the tug went."""
    went = journey(recording)
    _, along = speeds(recording)
    fastest = max(along, key=abs, default=0.0)
    way = "ahead of" if went.ahead >= 0 else "astern of"
    side = "port" if went.port >= 0 else "starboard"
    round_ = "port" if went.turned >= 0 else "starboard"
    return [
        (f"{way} its start", f"{abs(went.ahead):.3f} m"),
        (f"to {side} of its start", f"{abs(went.port):.3f} m"),
        ("length of its path", f"{went.path:.3f} m"),
        (f"turned to {round_} in all", f"{abs(math.degrees(went.turned)):.1f}°"),
        ("greatest speed" + (" (astern)" if fastest < 0 else ""), f"{abs(fastest):.3f} m/s"),
    ]


def draw_numbers(
    drawn: Figure, recording: Recording, box: tuple[float, float, float]
) -> None:
    """Draw the table into a box of a figure: left, top, width in inches from the top left."""
    left, top, width = box
    wide, high = drawn.get_figwidth(), drawn.get_figheight()
    drawn.text(left / wide, 1 - (top + 0.1) / high, "where the tug ended, in numbers",
               fontsize=SMALL, fontweight="bold", color=INK, va="baseline")  # fmt: skip
    for k, (what, much) in enumerate(rows(recording)):
        y = top + 0.36 + 0.235 * k
        drawn.text(left / wide, 1 - y / high, what, fontsize=SIZE, color=QUIET, va="baseline")
        drawn.text((left + width) / wide, 1 - y / high, much, fontsize=SIZE, color=INK,
                   ha="right", va="baseline", gid="number")  # fmt: skip
        line = 1 - (y + 0.07) / high
        drawn.add_artist(_rule(left / wide, (left + width) / wide, line))


def _rule(x0: float, x1: float, y: float) -> Line2D:
    return Line2D([x0, x1], [y, y], color=RULE, linewidth=0.6)
