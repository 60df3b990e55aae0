"""Arm: what a recording says about its pulses and its angles.

The pulses are read from the events of the arm's pin, the angles from the track `arm`.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from typing import NamedTuple

from robotsim import PINS, Recording
from robotsim.parts.servo import STOPS_US
from robotsim.recording import once

__all__ = [
    "FRAME_US",
    "PER_DEG",
    "Strike",
    "Train",
    "angles",
    "between",
    "crossings",
    "held",
    "off_line",
    "on_stop",
    "pulses",
    "silent_since",
    "strike",
    "trains",
    "us_of",
]

FRAME_US = 20_000.0
"""From one pulse to the next in us: 50 a second (Futaba practice, read)."""
PER_DEG = 1000.0 / 90.0
"""Pulse in us for one degree: 1.0 to 2.0 ms for 90 degrees."""
_HEARD_US = (500.0, 2500.0)
_FRAMES_HZ = (40.0, 330.0)
"""What a servo takes for pulses at all (common practice, no source)."""
_GLITCH_S = 0.002
"""A state that lasts less, while frequency and duty are set one after the other, is no order."""


def us_of(angle_deg: float) -> float:
    """Give the published pulse in us for an angle in degrees, to port positive."""
    return 1500.0 + angle_deg * PER_DEG


class Train(NamedTuple):
    """A stretch of time in which the arm's pin put out the same thing.

    Attributes:
        begin: When it began, in s.
        end: When it ended, in s.
        freq_hz: Pulses a second; 0 for a steady level.
        number: Duty as the board's 16-bit number, 0 to 65535.
    """

    begin: float
    end: float
    freq_hz: float
    number: int

    @property
    def seconds(self) -> float:
        """How long it lasted."""
        return self.end - self.begin

    @property
    def us(self) -> float:
        """Length of a pulse in us; 0 for a steady level."""
        return self.number / 65536 * 1e6 / self.freq_hz if self.freq_hz else 0.0

    @property
    def percent(self) -> float:
        """Share of the time that the pin is high, in %."""
        return 100 * self.number / 65536

    @property
    def framed(self) -> bool:
        """Whether there are pulses, as often as a servo listens to."""
        return bool(self.number) and _FRAMES_HZ[0] <= self.freq_hz <= _FRAMES_HZ[1]

    @property
    def heard(self) -> bool:
        """Whether a servo takes it for an order."""
        return self.framed and _HEARD_US[0] <= self.us <= _HEARD_US[1]


def trains(recording: Recording, shortest: float = _GLITCH_S) -> list[Train]:
    """Give what the arm's pin put out one after the other, silence included.

    Orders that repeat the one before are joined with it.
    """
    changes: list[tuple[float, float, int]] = []
    for told in recording.outputs(PINS["arm"]):
        freq, number = told.signal.freq_hz, told.duty_u16
        if not changes or changes[-1][1:] != (freq, number):
            changes.append((told.seconds, freq, number))
    ends = [*(change[0] for change in changes), recording.seconds][1:]
    found = [
        Train(begin, end, freq, number)
        for (begin, freq, number), end in zip(changes, ends, strict=True)
    ]
    return [train for train in found if train.seconds >= shortest]


def pulses(recording: Recording, shortest: float = _GLITCH_S) -> list[Train]:
    """Give the pulse trains that the servo took for orders, one after the other."""
    return [train for train in trains(recording, shortest) if train.heard]


def on_stop(recording: Recording) -> Train | None:
    """Give the first pulse train that presses the arm on one of its stops."""
    low, high = STOPS_US
    return next((t for t in pulses(recording, 0.02) if not low <= t.us <= high), None)


def silent_since(recording: Recording) -> float | None:
    """Give since when no order comes any more, in s; None if pulses come to the end."""
    orders = pulses(recording)
    if orders and orders[-1].end >= recording.seconds:
        return None
    return orders[-1].end if orders else 0.0


@once
def angles(recording: Recording) -> tuple[float, ...]:
    """Give the arm's angle at each sample in degrees, to port positive."""
    return tuple(math.degrees(angle) for angle in recording.tracks["arm"])


def between(recording: Recording, begin: float, end: float) -> list[float]:
    """Give the arm's angles in degrees from one time in s to another."""
    times = recording.tracks["t"]
    return [a for t, a in zip(times, angles(recording), strict=True) if begin <= t <= end]


def held(recording: Recording, angle_deg: float, within: float, begin: float, end: float) -> float:
    """Give for how long in s, between two times, the arm was within so many degrees of an angle."""
    step = recording.tracks["t"][1]
    near = [abs(angle - angle_deg) <= within for angle in between(recording, begin, end)]
    return step * sum(near)


def crossings(
    recording: Recording, begin_deg: float, end_deg: float, after: float = 0.0
) -> tuple[float, float] | None:
    """Find the first way of the arm from one angle to another.

    Args:
        recording: The recording.
        begin_deg: Where the way begins, in degrees.
        end_deg: Where it ends.
        after: From when on to look, in s.

    Returns:
        When the arm left the one angle for the last time before it came to the other, and when
        it came there, in s; None if it never went so.
    """
    way = 1.0 if end_deg > begin_deg else -1.0
    left: float | None = None
    for time, angle in zip(recording.tracks["t"], angles(recording), strict=True):
        if time < after:
            continue
        if way * (angle - begin_deg) <= 0.0:
            left = time
        elif way * (angle - end_deg) >= 0.0 and left is not None:
            return left, time
    return None


def off_line(recording: Recording, begin: float, end: float) -> float:
    """Give how far in degrees the arm was off the steady motion that fits it best (least squares).

    Args:
        recording: The recording.
        begin: From when on to look, in s.
        end: Until when.
    """
    times = [time for time in recording.tracks["t"] if begin <= time <= end]
    if len(times) < 2:
        return 0.0
    track = between(recording, begin, end)
    slope, height = statistics.linear_regression(times, track)
    return max(abs(a - height - slope * t) for t, a in zip(times, track, strict=True))


class Strike(NamedTuple):
    """The arm's first touch of the float.

    Attributes:
        time: When, in s.
        touches: How often it touched in all.
    """

    time: float
    touches: int


def strike(recording: Recording) -> Strike | None:
    """Give the arm's first touch of the float, None if there was none."""
    times: Sequence[float] = [e.seconds for e in recording.of("touch") if e.data[0] == "arm"]
    return Strike(times[0], len(times)) if times else None
