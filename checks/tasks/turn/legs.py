"""Legs: the turns of a recording, and what the readings taken meanwhile add up to."""

from __future__ import annotations

import bisect
import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from robotsim import Recording

from ...readings.motion import SIDES, driven
from ...readings.sensors import Sample, bus, heading_deg

__all__ = [
    "AGREE",
    "TARGET",
    "Decode",
    "Leg",
    "added",
    "all_legs",
    "legs",
    "raw",
    "slept_between",
    "spans_of",
    "spread",
    "stopped_legs",
]

Recordings = Sequence[Recording]
Decode = Callable[[Sample], float]
"""From a reading's bytes to counts."""

_GAP_S = 0.05
_TURN = 8.0
"""A leg is driven without a longer gap than this (s), and turns by more than this (degrees)."""
TARGET = 90.0
AGREE = 3.0
"""Angles at the stops that lie within so many degrees of each other agree."""
_KEPT: list[tuple[Recording, tuple[list[float], list[float]]]] = []


@dataclass(frozen=True)
class Leg:
    """One turn: driven from `begin` to `end` (s), then rolled on.

    Attributes:
        recording: Where it was.
        begin: When the motors began to drive.
        end: When they ceased.
        stopped: Whether they ceased before the trial was over.
        driven: Degrees turned while driven, to port positive.
        turned: Degrees turned in all, up to the next leg.
    """

    recording: Recording
    begin: float
    end: float
    stopped: bool
    driven: float
    turned: float

    @property
    def way(self) -> int:
        """1 for a turn to port, -1 to starboard."""
        return 1 if self.driven >= 0 else -1

    @property
    def samples(self) -> Sequence[Sample]:
        """What was read while it was driven."""
        return bus(self.recording).between(self.begin, self.end)


def spans_of(recording: Recording) -> list[tuple[float, float]]:
    """Give the stretches of time in which the motors drove a turn one way."""
    senses = {"left": -1, "right": 1}
    phases = sorted(
        (phase.begin, phase.end, math.copysign(senses[side], senses[side] * phase.duty))
        for side in SIDES
        for phase in driven(recording, side)
    )
    spans: list[tuple[float, float]] = []
    last = 0.0
    for begin, end, sense in phases:
        if spans and sense == last and begin - spans[-1][1] < _GAP_S:
            spans[-1] = spans[-1][0], max(end, spans[-1][1])
        else:
            spans.append((begin, end))
        last = sense
    return spans


def legs(recording: Recording) -> list[Leg]:
    """Cut a recording into its turns, by when the motors were driven."""
    spans = spans_of(recording)
    found = []
    for k, (begin, end) in enumerate(spans):
        until = spans[k + 1][0] if k + 1 < len(spans) else recording.seconds
        first = heading_deg(recording, begin)
        turned = heading_deg(recording, end) - first
        if abs(turned) > _TURN:
            whole = heading_deg(recording, until) - first
            stopped = end < recording.seconds - 0.02
            found.append(Leg(recording, begin, end, stopped, turned, whole))
    return found


def all_legs(recordings: Recordings) -> list[tuple[int, Leg]]:
    """Give all turns of some recordings, each with its recording's number."""
    return [(k, leg) for k, recording in enumerate(recordings) for leg in legs(recording)]


def stopped_legs(recordings: Recordings) -> list[Leg]:
    """Give the turns that were stopped in time."""
    return [leg for _, leg in all_legs(recordings) if leg.stopped]


def slept_between(recording: Recording, begin: float, end: float) -> float:
    """Give how long the program slept between two times, in s."""
    times, sums = _sleeps(recording)
    return sums[bisect.bisect_left(times, end)] - sums[bisect.bisect_left(times, begin)]


def _sleeps(recording: Recording) -> tuple[list[float], list[float]]:
    for known, found in _KEPT:
        if known is recording:
            return found
    times, sums = [], [0.0]
    for event in recording.of("sleep"):
        times.append(event.seconds)
        sums.append(sums[-1] + event.data[0] / 1e9)
    _KEPT.append((recording, (times, sums)))
    del _KEPT[:-4]
    return times, sums


def added(leg: Leg, decode: Decode, *, bias: bool = True, slept: bool = False) -> list[float]:
    """Add up the readings of a turn: the sum in degrees after each reading.

    Args:
        leg: The turn.
        decode: From a reading's bytes to counts.
        bias: Whether what the same decoding gave before the first turn is taken off; where
            nothing was read then, the sensor's bias.
        slept: Whether only the time of sleeping is counted, not all that passed.
    """
    recording = leg.recording
    first = legs(recording)[0].begin
    still = bus(recording).between(0.0, first)
    zero = 0.0
    if bias and still:
        zero = statistics.fmean(decode(s) / s.lsb for s in still)
    elif bias:
        zero = bus(recording).bias(recording) or 0.0
    sums, before, total = [], leg.begin, 0.0
    for sample in leg.samples:
        step = sample.time - before
        if slept:
            step = slept_between(recording, before, sample.time)
        total += (decode(sample) / sample.lsb - zero) * step
        before = sample.time
        sums.append(total)
    return sums


def raw(sample: Sample) -> float:
    """Decode a reading rightly."""
    return sample.raw


def spread(values: Sequence[float]) -> float:
    """Give how far apart some numbers lie; no numbers do not agree."""
    return max(values) - min(values) if values else math.inf
