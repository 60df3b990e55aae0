"""Task `turn.rate`: degrees a second, on any tug."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording
from robotsim.recording import once

from ...readings.sensors import Sample, bus, printed, true_rate
from ...task import Facts, Finding, criterion, share
from ...words import amount, counted, told_apart
from ..motors import switched_off
from .sensing import Judged, each_trial
from .turns import turns_of

__all__ = [
    "CRITERIA",
    "REST_FULL",
    "SECONDS",
    "TURNING",
    "Compared",
    "at_rest",
    "compared",
    "motors_off",
    "port",
    "starboard",
    "turns_and_prints",
    "turns_as_asked",
]

SECONDS = 7.0
RATE_FULL, RATE_NONE = 3.0, 7.0
REST_FULL, REST_NONE = 0.5, 4.0
EACH_WAY, STEADY, AT_REST = 4, 3, 3
"""How many lines at least while it turns one way, while it does so steadily, while it rests."""
SHORTEST, LONGEST = 0.5, 2.0
"""What is still about a second, for a turn or a rest."""
TURNING = 20.0
"""Rate in deg/s above which the tug counts as turning."""
STANDING = 0.1
"""Rate in deg/s below which it counts as standing."""
_FRESH_S = 0.3
_STEADY_S, _STEADY = 0.08, 6.0
_ALIKE = 0.2


class Compared(NamedTuple):
    """A printed rate beside what was read and what was true.

    Attributes:
        time: When it was printed, in s.
        printed: The printed number.
        true: The true rate in deg/s when the sensor was last read before.
        steady: Whether the rate had hardly changed for a while.
        sample: That reading.
        recent: All readings since the line before, that one included.
    """

    time: float
    printed: float
    true: float
    steady: bool
    sample: Sample
    recent: Sequence[Sample]


@once
def compared(recording: Recording) -> list[Compared]:
    """Put each printed rate beside the last reading before it, if that is fresh."""
    found = []
    begin = 0.0
    for line in printed(recording, "rate"):
        sample = bus(recording).before(line.time)
        recent, begin = bus(recording).between(begin, line.time), line.time
        if sample is None or line.time - sample.time > _FRESH_S:
            continue
        true = true_rate(recording, sample.time)
        before = true_rate(recording, max(sample.time - _STEADY_S, 0.0))
        steady = abs(true - before) < _STEADY
        found.append(Compared(line.time, line.value, true, steady, sample, recent))
    return found


def _turning(recording: Recording, way: int, steady: bool = False) -> list[Compared]:
    lines = [c for c in compared(recording) if way * c.true > TURNING]
    return [c for c in lines if c.steady or not steady]


# -- that it turns, and reads ------------------------------------------------


@each_trial
def _prints_while_turning(recording: Recording) -> Judged:
    to_port, to_starboard = (len(_turning(recording, way)) for way in (1, -1))
    part = (min(to_port, EACH_WAY) + min(to_starboard, EACH_WAY)) / (2 * EACH_WAY)
    words = f"{to_port} lines `rate ...` from fresh readings while it turned to port"
    return part, f"{words}, {to_starboard} while it turned to starboard", None


@criterion(
    "It turns both ways and prints rates",
    1,
    asks=f"at least {EACH_WAY} lines `rate ...` each way, made of what was read",
    essential=True,
)
def turns_and_prints(seen: Facts) -> Finding:
    """Judge each trial, and refuse numbers that are the same on every tug: those were not read."""
    steady = [_middles(seen.recordings, way) for way in (1, -1)]
    alike = [
        pairs
        for pairs in steady
        if len(pairs) > 1
        and _unlike([true for _, true in pairs]) > 0.05
        and _unlike([told for told, _ in pairs]) < _ALIKE * _unlike([true for _, true in pairs])
    ]
    if len(alike) < 2:
        return _prints_while_turning(seen)
    told, true = alike[0][0][0], ", ".join(f"{rate:.0f}" for _, rate in alike[0])
    return Finding(0.0, f"it printed {told:.0f} on every tug, and they turned at {true} deg/s")


def _middles(recordings: Sequence[Recording], way: int) -> list[tuple[float, float]]:
    """Give each trial's median of the printed and of the true rates of its steady turns one way."""
    found = []
    for recording in recordings:
        lines = _turning(recording, way, steady=True)
        if len(lines) >= 3:
            middle = statistics.median(c.printed for c in lines)
            found.append((middle, statistics.median(c.true for c in lines)))
    return found


def _unlike(values: Sequence[float]) -> float:
    """Give by how much some numbers differ, as a share of the greatest."""
    most = max(map(abs, values))
    return (max(values) - min(values)) / most if most else math.inf


# -- that it is right --------------------------------------------------------


def _right(way: int) -> Callable[[Facts], Finding]:
    """Judge the rates while it turned steadily one way: the middle one of their errors."""

    @each_trial
    def judge(recording: Recording) -> Judged:
        lines = _turning(recording, way, steady=True)
        if len(lines) < STEADY:
            return 0.0, f"only {counted(len(lines), 'rate')} of a steady turn printed", None
        lines.sort(key=lambda c: abs(c.printed - c.true))
        middle = lines[len(lines) // 2]
        off = abs(middle.printed - middle.true)
        words = f"printed {amount(middle.printed, 1)} where it was {amount(middle.true, 1)} deg/s"
        if RATE_FULL < off < RATE_FULL + 0.1:
            words += f", {told_apart(off, RATE_FULL, 1)} off"
        return share(off, full=RATE_FULL, none=RATE_NONE), words, middle.time

    return judge


_WITHIN = f"of {STEADY} lines or more in a steady turn most within {RATE_FULL:g} deg/s"
port = criterion("It is right to port", 2, asks=f"{_WITHIN}, above 0")(_right(1))
starboard = criterion("It is right to starboard", 2, asks=f"{_WITHIN}, below 0")(_right(-1))


@criterion(
    "It shows 0 at rest",
    3,
    asks=f"at least {AT_REST} lines at rest, the middle one of them, by size, within "
    f"{REST_FULL:g} deg/s of 0",
)
@each_trial
def at_rest(recording: Recording) -> Judged:
    """Judge what was printed at rest, the bias taken off."""
    if not any(sample.awake for sample in bus(recording).samples):
        return 0.0, "the rate was never read from a sensor that is awake", None
    lines = [c for c in compared(recording) if abs(c.true) < STANDING]
    turned = any(abs(c.true) > TURNING for c in compared(recording))
    if len(lines) < AT_REST or not turned:
        return 0.0, f"{counted(len(lines), 'rate')} printed at rest", None
    value = statistics.median(c.printed for c in lines)
    part = share(abs(value), full=REST_FULL, none=REST_NONE)
    shown = told_apart(abs(value), REST_FULL, 1)
    sign = "-" if value < 0 and float(shown) else ""
    return part, f"at rest it printed {sign}{shown} deg/s", lines[0].time


# -- the order, and the end --------------------------------------------------


@criterion(
    "It turns, rests, turns back and rests",
    1,
    asks=f"first to port, then to starboard, each for about a second ({SHORTEST:g} s to "
    f"{LONGEST:g} s), and as long a rest after each, all of it printed within {SECONDS:g} s",
)
@each_trial
def turns_as_asked(recording: Recording) -> Judged:
    """Judge the order of the turns, and how long they and the rests took."""
    turns = turns_of(recording)
    if not turns:
        return 0.0, "it did not turn", None
    ways = [turn.way for turn in turns]
    words = ", ".join("port" if way > 0 else "starboard" for way in ways[:4])
    if len(turns) == 1:
        return 0.25, f"it turned to {words} only", turns[0].begin
    first, second = turns[:2]
    last = max((line.time for line in printed(recording, "rate")), default=second.end)
    times = (
        first.end - first.begin,
        second.begin - first.end,
        second.end - second.begin,
        min(last - second.end, LONGEST),
    )
    kept = [share(max(SHORTEST - time, time - LONGEST), full=0.02, none=SHORTEST) for time in times]
    part = (1.0 if ways == [1, -1] else 0.5) * sum(kept) / len(kept)
    shown = ", ".join(amount(time) for time in times)
    return part, f"to {words}; turn, rest, turn, rest took {shown} s", first.begin


@criterion(
    "It switches the motors off", 1, asks="at rest at the end, no motor driven and none braked"
)  # fmt: skip
@each_trial
def motors_off(recording: Recording) -> Judged:
    """Judge the end."""
    return switched_off(recording)


CRITERIA = (turns_and_prints, port, starboard, at_rest, turns_as_asked, motors_off)
"""Ten points."""
