"""When mast and stern are lit: what the criteria and the known mistakes of `lamps.signal` read."""

from __future__ import annotations

import re
from collections.abc import Sequence

from robotsim import Recording

from ...readings.light import Lit, history, lit
from ...task import share

__all__ = [
    "BEGIN",
    "LATE_FULL",
    "LINE",
    "MAST",
    "PATTERN",
    "SIGNALS",
    "STERN",
    "STERN_FLASHES",
    "STERN_PATTERN",
    "fit",
    "flashes",
    "lateness",
    "starts",
]

MAST, STERN = 2, 3
PATTERN = ((0.3, 0.3), (0.3, 0.3), (0.9, 1.9))
"""Lit and dark of each of the mast's three flashes, s: two short, one long, then a rest."""
SIGNALS = 5
"""Signals that fit into the trial from end to end; the sixth only begins."""
STERN_PATTERN = ((0.75, 0.75),)
STERN_FLASHES = 13
LATE_FULL = 0.015
"""How far from its moment a signal may start, s."""
BEGIN = 0.5
"""By when the first signal starts, s."""
LINE = re.compile(r"\s*signal\s+(\d+)\s*:\s*two short,\s*one long\W*", re.IGNORECASE)
"""A line of the log."""
_PERIOD = 4.0


def flashes(recording: Recording, lamp: int) -> list[Lit]:
    """Give the stretches in which a lamp is lit, however faintly."""
    return lit(history(recording, lamp), recording.seconds, least=1)


def starts(recording: Recording) -> list[float]:
    """Give when each signal starts: every third flash of the mast, s."""
    return [flash.begin for flash in flashes(recording, MAST)[:: len(PATTERN)]]


def lateness(recording: Recording) -> list[float]:
    """Give how late each signal starts in s, counted from the first; negative is early."""
    begun = starts(recording)
    return [start - begun[0] - k * _PERIOD for k, start in enumerate(begun)]


def fit(lights: Sequence[Lit], pattern: Sequence[tuple[float, float]], asked: int) -> float:
    """Give the share of flashes and pauses that have their length, 0 to 1.

    Who looks at the clock every 10 ms, and prints a line, is off by 15 ms or so.
    """
    earned = 0.0
    for k, flash in enumerate(lights):
        light, dark = pattern[k % len(pattern)]
        earned += share(abs(flash.length - light), full=0.03, none=0.15)
        if k + 1 < len(lights):
            pause = lights[k + 1].begin - flash.end
            earned += share(abs(pause - dark), full=0.03, none=0.25)
    # The last flash may be cut by the end of the trial, and no pause follows it.
    return min(1.0, earned / (2 * max(asked, len(lights) - 1)))
