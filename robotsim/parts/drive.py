"""Drive: the two bridges, motors and wheels, from pins to motion."""

from __future__ import annotations

import math
import random
from typing import ClassVar

from ..wiring import FLOATING, Signal
from .bridge import ON_RESISTANCE, feed
from .motor import TUG_MOTOR
from .part import Part, Surroundings
from .quirks import Quirks
from .wheels import WHEEL_RADIUS, Push, Wheels

__all__ = ["LOW_HZ", "MAX_STEP", "Drive"]

MAX_STEP = 0.020
"""Longest step in s."""

_FULL_VOLTS = 4.8
_DRAG_SHARE = 0.75
"""Friction of turning gears against that of gears at rest (invented)."""
_GEAR_PLAY = 5e-3
"""Time constant in s with which gears at rest feel a ripple in the torque (invented)."""
LOW_HZ = 25.0
"""Below this many pulses a second the tug feels each pulse by itself."""
_SHORT_STEP = 0.004
_RUSH = 1.6
"""Force in N at a rim above which the steps are short."""
_RIM_CHANGE = 0.004
_VOLT_CHANGE = 0.004
"""Changes in m/s and V after which a bridge's feed is worked out anew."""

_EMF = TUG_MOTOR.constant * TUG_MOTOR.gear / WHEEL_RADIUS
"""Back-EMF in V for 1 m/s at the rim."""
_FORCE = TUG_MOTOR.efficiency * _EMF
"""Force in N at the rim for 1 A."""
_ROTOR_MASS = TUG_MOTOR.inertia * (TUG_MOTOR.gear / WHEEL_RADIUS) ** 2


class Drive(Part):
    """Battery voltage and four pins in, motion out.

    *Model*: bridge -> motor (its current settles within a cycle of the PWM, so
    only the average counts, and the peak for starting from rest) -> gears ->
    wheels.  A bridge's feed is worked out anew when its inputs, the supply or
    the rim's speed have changed enough to matter, and is linear about that
    speed in between.  A PWM of less than 25 Hz is followed pulse by pulse.
    *Source*: the pieces name theirs; the figures of the tug are invented.
    """

    roles: ClassVar[tuple[str, ...]] = ("left_ahead", "left_back", "right_ahead", "right_back")

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self.wheels = Wheels(0.0, 0.0, 0.0, _ROTOR_MASS)
        self._left = _Side(quirks.left_strength, quirks.left_start)
        self._right = _Side(quirks.right_strength, quirks.right_start)
        self._inputs = dict(
            zip(self.roles, (*self._left.inputs, *self._right.inputs), strict=True)
        )
        self._slow: list[_Input] = []

    def drive(self, role: str, signal: Signal) -> None:
        """Take a new signal on one of the four bridge inputs."""
        self._inputs[role].take(signal)
        self._left.stale = self._right.stale = True
        self._slow = [i for i in self._inputs.values() if 0.0 < i.signal.freq_hz < LOW_HZ]

    def advance(self, duration: float, around: Surroundings) -> None:
        """Drive on for a time in s."""
        wheels = self.wheels
        while duration > 1e-12:
            left, right = self.pushes(around.supply_volts)
            # When the speed changes fast, short steps keep the arcs and the feed honest.
            rush = max(abs(left.force), abs(right.force)) > _RUSH
            step = min(duration, _SHORT_STEP if rush or wheels.sliding else MAX_STEP)
            if self._slow:
                step = min(step, *(i.until_edge() for i in self._slow))
            wheels.advance(step, left, right)
            self.pass_time(step)
            duration -= step
        self.pushes(around.supply_volts)  # so that `amps` is what flows at the end

    def pushes(self, volts: float) -> tuple[Push, Push]:
        """Give what turns the two wheels now, and note the current drawn."""
        wheels = self.wheels
        left = self._left.push(volts, wheels.left)
        right = self._right.push(volts, wheels.right)
        self.amps = self._left.amps + self._right.amps
        return left, right

    def pass_time(self, duration: float) -> None:
        """Move on within the slow pulse trains."""
        for slow in self._slow:
            if slow.pass_time(duration):
                self._left.stale = self._right.stale = True

    def readings(self) -> dict[str, float]:
        """Give pose and speeds."""
        w = self.wheels
        return {"x": w.x, "y": w.y, "heading": w.heading, "left": w.left, "right": w.right}


class _Input:
    """One input of a bridge; a slow pulse train shows as the level of the moment."""

    def __init__(self) -> None:
        self.signal = self.now = FLOATING
        self.phase = 0.0

    def take(self, signal: Signal) -> None:
        self.signal, self.phase = signal, 0.0
        self._settle()

    def _settle(self) -> bool:
        signal, before = self.signal, self.now
        if 0.0 < signal.freq_hz < LOW_HZ:
            signal = Signal(1.0 if self.phase < signal.duty else 0.0, 0.0)
        self.now = signal
        return self.now != before

    def until_edge(self) -> float:
        """Give the time in s until a slow pulse train next changes its level."""
        edge = self.signal.duty if self.phase < self.signal.duty else 1.0
        return max((edge - self.phase) / self.signal.freq_hz, 1e-6)

    def pass_time(self, duration: float) -> bool:
        """Move on within a slow pulse train; tell whether the level has changed."""
        self.phase = (self.phase + duration * self.signal.freq_hz) % 1.0
        return self._settle()


class _Side:
    """One bridge, motor and gearbox; keeps its push until something has changed."""

    def __init__(self, strength: float, start_duty: float) -> None:
        self.inputs = (_Input(), _Input())
        self.strength = strength
        stall = _FULL_VOLTS / (TUG_MOTOR.resistance + ON_RESISTANCE)
        self.hold = start_duty * strength * _FORCE * stall
        self.stale = True
        self.amps = 0.0
        self._volts = self._rim = 0.0
        self._push = Push(0.0, 0.0, 0.0, self.hold, _DRAG_SHARE * self.hold, 0.0)

    def push(self, volts: float, rim: float) -> Push:
        if (
            self.stale
            or abs(rim - self._rim) > _RIM_CHANGE
            or abs(volts - self._volts) > _VOLT_CHANGE
        ):
            self._push = self._work_out(volts, rim)
            self._volts, self._rim, self.stale = volts, rim, False
        return self._push

    def _work_out(self, volts: float, rim: float) -> Push:
        ahead, back = self.inputs[0].now, self.inputs[1].now
        drag = _DRAG_SHARE * self.hold
        if not ahead.duty and not back.duty:
            self.amps = 0.0
            return Push(0.0, 0.0, 0.0, self.hold, drag, rim)
        emf, force = self.strength * _EMF, self.strength * _FORCE
        fed = feed(ahead, back, volts, emf * rim, TUG_MOTOR.resistance, TUG_MOTOR.inductance)
        freq = max(ahead.freq_hz, back.freq_hz)
        felt = 1.0 / math.sqrt(1.0 + (math.tau * freq * _GEAR_PLAY) ** 2)
        jolt = fed.amps + (fed.peak - fed.amps) * felt
        self.amps = fed.supply
        return Push(
            force * fed.amps, force * fed.slope * emf, force * jolt, self.hold, drag, rim
        )
