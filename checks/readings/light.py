"""Light: what a recording says of the lamps - which colour, how long, how often they flash."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording

from .colour import DARK, Colour

__all__ = [
    "Flashing",
    "Lit",
    "Step",
    "flashing",
    "held",
    "history",
    "lit",
    "longest",
    "slept_through",
]

_SWING = 0.10
"""Least change that counts towards a flash, as a share of the brightest that the lamp showed.

WCAG 2.2, 2.3.1, counts from 10 % of a white screen; a share of the lamp's own
brightest is the stricter, since a small lamp in the dark is all there is to see.
"""


class Step(NamedTuple):
    """A lamp takes a colour at a time in s, and keeps it until the next step."""

    time: float
    colour: Colour


class Lit(NamedTuple):
    """A stretch of time in s in which a lamp is lit."""

    begin: float
    end: float

    @property
    def length(self) -> float:
        """How long it is, s."""
        return self.end - self.begin


class Flashing(NamedTuple):
    """The most flashes that any one second of a recording holds, and when that begins."""

    most: int
    at: float


def history(recording: Recording, lamp: int) -> list[Step]:
    """Give what one lamp showed: dark at first, then a step for each change."""
    steps = [Step(0.0, DARK)]
    for event in recording.of("lamps"):
        colour: Colour = tuple(event.data[0][lamp])
        if colour != steps[-1].colour:
            steps.append(Step(event.seconds, colour))
    return steps


def _spans(steps: Sequence[Step], since: float, until: float) -> list[tuple[float, float, Colour]]:
    """Give (begin, end, colour) for each step, cut to a window of time."""
    ends = [step.time for step in steps[1:]] + [until]
    cut = ((max(s.time, since), min(e, until), s.colour) for s, e in zip(steps, ends, strict=True))
    return [span for span in cut if span[1] > span[0]]


def held(
    steps: Sequence[Step], test: Callable[[Colour], bool], since: float, until: float
) -> float:
    """Give the share of a window of time in which a lamp's colour passes a test, 0 to 1."""
    right = sum(end - begin for begin, end, colour in _spans(steps, since, until) if test(colour))
    return right / (until - since)


def longest(steps: Sequence[Step], since: float, until: float) -> Colour:
    """Give the colour that a lamp showed for the longest time within a window."""
    totals: dict[Colour, float] = {}
    for begin, end, colour in _spans(steps, since, until):
        totals[colour] = totals.get(colour, 0.0) + end - begin
    return max(totals, key=lambda colour: totals[colour])


def lit(steps: Sequence[Step], until: float, *, least: int = 20) -> list[Lit]:
    """Give the stretches in which a lamp's strongest number is at least `least`."""
    found: list[Lit] = []
    for begin, end, colour in _spans(steps, 0.0, until):
        if max(colour) < least:
            continue
        if found and found[-1].end == begin:
            found[-1] = Lit(found[-1].begin, end)
        else:
            found.append(Lit(begin, end))
    return found


def flashing(steps: Sequence[Step]) -> Flashing:
    """Count a lamp's flashes in the second that holds the most of them.

    *Model*: a flash is a pair of opposing changes of brightness.
    *Source*: WCAG 2.2, success criterion 2.3.1 and its definition of a general
    flash; see `_SWING` for the one difference.
    """
    levels = [(step.time, max(step.colour)) for step in steps]
    least = _SWING * max(level for _, level in levels)
    changes: list[float] = []
    low = high = 0
    rising = falling = False
    for time, level in levels:
        low, high = min(low, level), max(high, level)
        if not rising and level - low >= least > 0:
            changes.append(time)
            rising, falling, high = True, False, level
        elif not falling and changes and high - level >= least > 0:
            changes.append(time)
            rising, falling, low = False, True, level
    most, at = 0, 0.0
    first = 0
    for last, time in enumerate(changes):
        while time - changes[first] >= 1.0 - 1e-6:
            first += 1
        flashes = (last - first + 1) // 2
        if flashes > most:
            most, at = flashes, changes[first]
    return Flashing(most, at)


def slept_through(recording: Recording) -> float | None:
    """Give the length in s of a wait that outlasted the trial by more than a second, or None."""
    last = max(recording.of("sleep"), key=lambda event: event.time_ns, default=None)
    if last is None or recording.ended != "time is up":
        return None
    length = float(last.data[0]) / 1e9
    return length if last.seconds + length > recording.seconds + 1.0 else None
