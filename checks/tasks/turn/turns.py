"""Turns: the turns of a recording, and what the readings taken meanwhile add up to."""

from __future__ import annotations

import bisect
import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from robotsim import Recording
from robotsim.recording import once

from ...readings.motion import SIDES, driven
from ...readings.sensors import Sample, bus, heading_deg
from ...words import named_trials
from .sensing import Decode

__all__ = [
    "AGREE",
    "QUARTER",
    "Turn",
    "added",
    "all_turns",
    "driven_spans",
    "raw",
    "slept_between",
    "spread",
    "stopped_turns",
    "turns_of",
]

Recordings = Sequence[Recording]
_GAP_S = 0.05
_TURN = 8.0
"""A turn is driven without a longer gap than this (s), and turns by more than this (degrees)."""
QUARTER = 90.0
"""What is asked, in degrees."""
AGREE = 3.0
"""Angles at the stops that lie within so many degrees of each other agree."""


@dataclass(frozen=True)
class Turn:
    """One turn: driven from `begin` to `end` (s), then rolled on.

    Attributes:
        recording: Where it was.
        begin: When the motors began to drive.
        end: When they ceased.
        stopped: Whether they ceased before the trial was over.
        driven: Degrees turned while driven, to port positive.
        turned: Degrees turned in all, up to the next turn.
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


@once
def driven_spans(recording: Recording) -> list[tuple[float, float]]:
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


@once
def turns_of(recording: Recording) -> list[Turn]:
    """Cut a recording into its turns, by when the motors were driven."""
    spans = driven_spans(recording)
    found = []
    for k, (begin, end) in enumerate(spans):
        until = spans[k + 1][0] if k + 1 < len(spans) else recording.seconds
        first = heading_deg(recording, begin)
        turned = heading_deg(recording, end) - first
        if abs(turned) > _TURN:
            whole = heading_deg(recording, until) - first
            stopped = end < recording.seconds - 0.02
            found.append(Turn(recording, begin, end, stopped, turned, whole))
    return found


def all_turns(recordings: Recordings) -> list[tuple[str, Turn]]:
    """Give all turns of some trials, each with its trial's name."""
    return [(name, turn) for name, made in named_trials(recordings) for turn in turns_of(made)]


def stopped_turns(recordings: Recordings) -> list[Turn]:
    """Give the turns that were stopped in time."""
    return [turn for _, turn in all_turns(recordings) if turn.stopped]


def slept_between(recording: Recording, begin: float, end: float) -> float:
    """Give how long the program slept between two times, in s."""
    times, sums = _sleeps(recording)
    return sums[bisect.bisect_left(times, end)] - sums[bisect.bisect_left(times, begin)]


@once
def _sleeps(recording: Recording) -> tuple[list[float], list[float]]:
    times, sums = [], [0.0]
    for event in recording.of("sleep"):
        times.append(event.seconds)
        sums.append(sums[-1] + event.data[0] / 1e9)
    return times, sums


def added(turn: Turn, decode: Decode, *, bias: bool = True, slept: bool = False) -> list[float]:
    """Add up the readings of a turn: the sum in degrees after each reading.

    Args:
        turn: The turn.
        decode: From a reading's bytes to counts.
        bias: Whether what the same decoding gave before the first turn is taken off; where
            nothing was read then, the sensor's bias.
        slept: Whether only the time of sleeping is counted, not all that passed.
    """
    recording = turn.recording
    first = turns_of(recording)[0].begin
    still = bus(recording).between(0.0, first)
    zero = 0.0
    if bias and still:
        zero = statistics.fmean(decode(s) / s.lsb for s in still)
    elif bias:
        zero = bus(recording).bias(recording) or 0.0
    sums, before, total = [], turn.begin, 0.0
    for sample in turn.samples:
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
