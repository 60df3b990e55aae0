"""Bounce slider: a switch that chatters, and how many presses a program counts that looks away.

The switch is the tug's own bumper model, pressed twice.  Where no sliders can be shown, the
picture for the first setting stands alone.
"""

from __future__ import annotations

import functools
import random

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..parts.bumper import Bumper
from ..parts.part import FakeSurroundings
from ..parts.quirks import Quirks
from .colours import INK, OKABE_ITO, QUIET, RULE
from .compose import head
from .sliding import Span, slide
from .style import SIZE, SMALL, new_figure, styled

__all__ = ["PRESSES_MS", "bounce_figure", "counted", "levels", "slide_bounce"]

PRESSES_MS = ((10.0, 60.0), (110.0, 160.0))
"""From when to when a finger presses, in ms: twice, 50 ms each (invented; a quick finger)."""
_END_MS, _STEP_MS = 200.0, 0.2
_MOST_MS = 120
_LEVEL, _COUNT = OKABE_ITO["blue"], OKABE_ITO["vermilion"]


@functools.cache
def levels() -> tuple[int, ...]:
    """Give the level on the bumper's pin every 0.2 ms: 1 open, 0 closed."""
    around = FakeSurroundings()
    bumper = Bumper(Quirks.of(0), random.Random("bounce slider"))
    found = []
    for step in range(round(_END_MS / _STEP_MS)):
        now = step * _STEP_MS
        around.pressed = any(begin <= now < end for begin, end in PRESSES_MS)
        bumper.advance(_STEP_MS / 1000, around)
        found.append(0 if bumper.level("bumper", around) == 0 else 1)
    return tuple(found)


def counted(away_ms: float) -> tuple[list[float], list[tuple[float, float]]]:
    """Give when a program counts a press, and from when to when it looks away, in ms.

    It looks every 0.2 ms, counts when the level has gone from 1 to 0, and looks away after
    each change that it sees.
    """
    counts: list[float] = []
    away: list[tuple[float, float]] = []
    last, blind_until = 1, 0.0
    for step, level in enumerate(levels()):
        now = step * _STEP_MS
        if now < blind_until or level == last:
            continue
        last = level
        if level == 0:
            counts.append(now)
        blind_until = now + away_ms
        if away_ms:
            away.append((now, min(blind_until, _END_MS)))
    return counts, away


def bounce_figure(away_ms: int) -> Figure:
    """Draw the pin's level through two presses, and what is counted.

    Args:
        away_ms: For how long the program looks away after each change, in ms.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: The time is negative or longer than the slider goes.
    """
    if not 0 <= away_ms <= _MOST_MS:
        raise KitError(
            f"The time to look away is from 0 to {_MOST_MS} ms, not {away_ms!r}.",
            hint="write 20, which is longer than the switch bounces.",
        )
    counts, away = counted(away_ms)
    many = f"{len(counts)} {'press' if len(counts) == 1 else 'presses'}"
    with styled():
        drawn = new_figure(10.0, 2.9)
        head(
            drawn,
            f"Looking away for {away_ms} ms after each change: {many} counted",
            "a finger presses twice; the contacts chatter for about 3 ms each time they move",
        )
        drawn.set_label(
            "The bumper's pin through two presses of 50 ms. The program looks away for "
            f"{away_ms} ms after each change that it sees, and counts {many}."
        )
        _draw(drawn.add_axes((0.10, 0.20, 0.86, 0.48), label="pin"), counts, away)
        return drawn


def _draw(axes: Axes, counts: list[float], away: list[tuple[float, float]]) -> None:
    times = [k * _STEP_MS for k in range(len(levels()))]
    for begin, end in away:
        axes.axvspan(begin, end, color=RULE, alpha=0.7, linewidth=0)
    axes.step(times, levels(), where="post", color=_LEVEL, linewidth=1.3, gid="level")
    for k, (begin, end) in enumerate(PRESSES_MS, start=1):
        axes.plot([begin, end], [-0.22, -0.22], color=INK, linewidth=3, solid_capstyle="butt")
        axes.text((begin + end) / 2, -0.42, f"finger, press {k}", ha="center", va="center",
                  fontsize=SMALL, color=INK)  # fmt: skip
    axes.plot(counts, [1.22] * len(counts), "v", color=_COUNT, markersize=8, gid="counted")
    axes.text(-3, 1.22, "counted", ha="right", va="center", fontsize=SIZE, color=INK)
    if away:
        axes.text(95, 0.5, "grey: not looking", ha="center", va="center", fontsize=SMALL,
                  color=QUIET)  # fmt: skip
    axes.set_xlim(0, _END_MS)
    axes.set_ylim(-0.6, 1.4)
    axes.set_yticks([0, 1], ["0, closed", "1, open"])
    axes.set_xticks([0, 50, 100, 150, 200], ["0", "50", "100", "150", "200 ms"])


def slide_bounce(away_ms: int = 0) -> None:
    """Show a slider for the time to look away, with the picture that follows it.

    Args:
        away_ms: Where the slider stands at first, in ms.
    """
    slide(bounce_figure, Span("away_ms", "look away, ms", away_ms, 0, _MOST_MS, 1))
