"""Servo: the positional servo that swings the tug's arm."""

from __future__ import annotations

import math
import random
from typing import ClassVar

from ..wiring import Signal
from .part import Part, Surroundings
from .quirks import Quirks

__all__ = ["DEAD_BAND_US", "STOPS_US", "Servo", "angle_of", "pulse_us", "slew"]

STOPS_US = (800.0, 2250.0)
"""Pulses at which the arm reaches its end stops (common practice, no source)."""
DEAD_BAND_US = 5.0
"""Change of pulse that the servo does not answer: sheet of the 9 g class (transcription)."""

_CENTRE_US = 1500.0
_RAD_PER_US = math.radians(90.0) / 1000.0
_HEARD_US = (500.0, 2500.0)
"""Pulses that the electronics take for pulses at all (common practice, no source)."""
_FRAMES_HZ = (40.0, 330.0)
"""Pulse trains that it follows; it expects 50 a second (common practice, no source)."""
_SLOW = math.radians(60.0) / 0.12
_FAST = math.radians(60.0) / 0.10
"""Speeds in rad/s at 4.8 V and at 6 V."""
_LEAST_VOLTS = 3.0
"""Below this supply the electronics stop (invented)."""
_EASE_S = 0.010
"""It goes at full rate until so long before its goal, then slower in proportion (invented)."""
_THERE = math.radians(0.02)
"""So near to the goal it stands."""
_IDLE_AMPS, _MOVING_AMPS, _STALL_AMPS = 0.006, 0.15, 0.65
"""Currents at rest, on the way and against a stop (invented, size of the 9 g class)."""


def angle_of(pulse_us: float, trim_us: float = 0.0) -> float:
    """Give the angle in rad that a pulse asks for: 1000 to 2000 us is -45 to +45 degrees."""
    return (pulse_us - _CENTRE_US - trim_us) * _RAD_PER_US


def pulse_us(signal: Signal) -> float | None:
    """Give the pulse in us that a servo hears in a signal, None if it hears none."""
    low_hz, high_hz = _FRAMES_HZ
    if not (low_hz <= signal.freq_hz <= high_hz and 0.0 < signal.duty < 1.0):
        return None
    width = signal.pulse_s * 1e6
    return width if _HEARD_US[0] <= width <= _HEARD_US[1] else None


def slew(volts: float) -> float:
    """Give the servo's speed in rad/s at a supply voltage.

    *Model*: a straight line through the two published points.
    *Source*: 0.12 s for 60 degrees at 4.8 V and 0.10 s at 6 V, sheet of the
    9 g class (transcription); none at less than 3 V (invented).
    """
    if not volts >= _LEAST_VOLTS:
        return 0.0
    return _SLOW + (_FAST - _SLOW) * (volts - 4.8) / (6.0 - 4.8)


class Servo(Part):
    """The arm's servo: pulses in, angle out.

    *Model*: a pulse of 1.0 to 2.0 ms asks for -45 to +45 degrees.  It counts
    once it has been received in full; then the arm turns at the steady slew
    rate until it is within 5 degrees, and eases in from there: so small steps
    are slow ones, and a sweep does not knock.  It stays put while the pulse is within the dead
    band of where it stands.  Pulses beyond 0.8 or 2.25 ms press the arm on its
    end stop, which draws the stall current.  Pulses shorter than 0.5 or longer
    than 2.5 ms, a steady level, and trains outside 40 to 330 Hz are not
    followed: the arm is then not driven and stays where it is by the friction
    of its gears.
    *Source*: pulses, Futaba practice (read); speed and dead band, sheet of the
    9 g class (transcription); travel and frame rates, common practice, no
    source; currents invented.

    Attributes:
        angle: Angle of the arm in rad, 0 straight ahead, counter-clockwise
            (to port) positive.
        rate: Speed of the arm now in rad/s.
    """

    roles: ClassVar[tuple[str, ...]] = ("arm",)
    tracks: ClassVar[tuple[str, ...]] = ("arm",)

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self.angle = self.rate = 0.0
        self.amps = _IDLE_AMPS
        self._goal = 0.0
        self._pressing = False
        self._coming: float | None = None
        self._wait = 0.0
        trim = quirks.arm_trim_us
        self._stops = (angle_of(STOPS_US[0], trim), angle_of(STOPS_US[1], trim))

    @property
    def moving(self) -> bool:
        """Whether the arm is on its way, or about to be."""
        return self.angle != self._goal or self._coming is not None

    def drive(self, role: str, signal: Signal) -> None:
        """Take a new pulse train; anything that is none lets go of the arm at once."""
        width = pulse_us(signal)
        if width is None:
            self._goal, self._pressing, self.rate = self.angle, False, 0.0
        elif self._coming is None:
            self._wait = width * 1e-6
        # A program that changes the width while a pulse is under way does not restart it.
        self._coming = width

    def advance(self, duration: float, around: Surroundings) -> None:
        """Turn on for a time in s."""
        speed = slew(around.supply_volts)
        if self._coming is not None:
            before = min(self._wait, duration)
            self._turn(before, speed)
            self._wait -= before
            duration -= before
            if self._wait <= 1e-12:
                self._obey(self._coming)
                self._coming = None
        self._turn(duration, speed)
        if not speed:
            self.amps = _IDLE_AMPS
        elif self.rate:
            self.amps = _MOVING_AMPS
        else:
            self.amps = _STALL_AMPS if self._pressing else _IDLE_AMPS

    def readings(self) -> tuple[float, ...]:
        """Give the arm's angle in rad."""
        return (self.angle,)

    def _obey(self, width: float) -> None:
        asked = angle_of(width, self.quirks.arm_trim_us)
        low, high = self._stops
        self._pressing = not low <= asked <= high
        goal = min(max(asked, low), high)
        near = abs(goal - self.angle) <= DEAD_BAND_US * _RAD_PER_US
        self._goal = self.angle if near else goal

    def _turn(self, duration: float, speed: float) -> None:
        """Turn towards the goal for a time in s: at full rate, then easing in; closed form."""
        way, near = self._goal - self.angle, speed * _EASE_S
        if not speed or not way:
            self.rate = 0.0
            return
        if abs(way) > near:
            self.rate = math.copysign(speed, way)
            full = min(duration, (abs(way) - near) / speed)
            self.angle += self.rate * full
            duration -= full
            if duration <= 0.0:
                return
            way = math.copysign(near, way)
        way *= math.exp(-duration / _EASE_S)
        if abs(way) < _THERE:
            self.angle, self.rate = self._goal, 0.0
        else:
            self.angle, self.rate = self._goal - way, way / _EASE_S
