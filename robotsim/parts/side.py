"""Side: one bridge with its motor and gearbox, from two inputs to the force at a rim."""

from __future__ import annotations

import math

from ..wiring import FLOATING, Signal
from .bridge import ON_RESISTANCE, feed
from .motor import TUG_MOTOR
from .wheels import WHEEL_RADIUS, Push

__all__ = ["DRAG_SHARE", "EMF", "LOW_HZ", "NOTHING", "ROTOR_MASS", "Flow", "Input", "Side"]

LOW_HZ = 400.0
"""Below this many pulses a second the tug feels each pulse by itself."""
DRAG_SHARE = 0.75
"""Friction of turning gears against that of gears at rest, usually (invented)."""
EMF = TUG_MOTOR.constant * TUG_MOTOR.gear / WHEEL_RADIUS
"""Back-EMF in V for 1 m/s at the rim, which is also the force in N there for 1 A."""
ROTOR_MASS = TUG_MOTOR.inertia * (TUG_MOTOR.gear / WHEEL_RADIUS) ** 2
"""An armature's inertia as a mass at the rim, in kg."""

_FULL_VOLTS = 4.8
_GEAR_PLAY = 5e-3
"""Time constant in s with which gears at rest feel a ripple in the torque (invented)."""
_OHM = TUG_MOTOR.resistance + ON_RESISTANCE
_TAU = TUG_MOTOR.inductance / _OHM
"""Time constant of the current in s: 0.1 ms."""
_SETTLES = 4.0 * _TAU
"""So long in s a change of the current is followed by itself."""
_RIPPLE = 0.02
"""Share of the stall current by which a current that has settled may be off."""


class Flow:
    """The current through one bridge over a step, at the rim's speed when it begins.

    Attributes:
        amps: Average through the motor in A, ahead positive.
        slope: Fall of that for each volt of back-EMF, in A/V.
        gain: Rise of that for each volt of the supply, in A/V.
        peak: The current that gears at rest feel, in A.
        supply: Average taken from the battery, in A.
        supply_slope: Fall of that for each volt of back-EMF, in A/V.
        supply_gain: Rise of that for each volt of the supply, in A/V.
    """

    __slots__ = ("amps", "gain", "peak", "slope", "supply", "supply_gain", "supply_slope")

    def __init__(
        self, amps: float, slope: float, gain: float, peak: float, supply: float,
        supply_slope: float, supply_gain: float,
    ) -> None:  # fmt: skip
        self.amps, self.slope, self.gain, self.peak = amps, slope, gain, peak
        self.supply, self.supply_slope, self.supply_gain = supply, supply_slope, supply_gain


NOTHING = Flow(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


class Input:
    """One input of a bridge; a slow pulse train shows as the level of the moment."""

    def __init__(self) -> None:
        self.signal = self.now = FLOATING
        self.slow = False
        self.phase = 0.0

    def take(self, signal: Signal) -> None:
        """Take a new signal; a pulse train begins with its pulse."""
        self.signal, self.phase = signal, 0.0
        self.slow = 0.0 < signal.freq_hz < LOW_HZ
        self.now = signal
        if self.slow:
            self._settle()

    def _settle(self) -> None:
        self.now = Signal(1.0 if self.phase < self.signal.duty else 0.0, 0.0)

    def twin(self) -> Input:
        """Give another one that is where this one is."""
        twin = Input()
        twin.signal, twin.now = self.signal, self.now
        twin.slow, twin.phase = self.slow, self.phase
        return twin

    def until_edge(self) -> float:
        """Give the time in s until a slow pulse train next changes its level."""
        edge = self.signal.duty if self.phase < self.signal.duty else 1.0
        return max((edge - self.phase) / self.signal.freq_hz, 1e-7)

    def pass_time(self, duration: float) -> None:
        """Move on within a slow pulse train."""
        self.phase += duration * self.signal.freq_hz
        # A hair is added so that no pulse is lost to the rounding of summed times.
        if self.phase > 1.0 - 1e-9:
            self.phase = max(self.phase - 1.0, 0.0)
        elif abs(self.phase - self.signal.duty) < 1e-9:
            self.phase = self.signal.duty
        self._settle()


class Side:
    """One bridge, motor and gearbox.

    *Model*: the motor's constant serves for torque and for back-EMF alike, and
    what the gears lose is their friction, whichever way they are driven.  So
    nothing but the battery can ever give energy.  A fast PWM counts by its
    average; with a slow one each pulse is followed, and within it the current.
    *Source*: bridge and motor name theirs; friction invented.

    Args:
        strength: The motor's constant against the drawing's.
        start_duty: Share of the full supply at which the wheel usually starts from rest.
        sticks: How much harder the gears stick at rest than usually.
        wheel: Radius of the wheel, in m.

    Attributes:
        inputs: The bridge's two inputs: ahead, back.
        emf: Back-EMF in V for 1 m/s at the rim, and force in N there for 1 A.
        hold: Friction that keeps a wheel at rest from starting, in N at the rim.
        drag: Friction in the gears of a turning wheel, in N at the rim.
        amps: The motor's current now, in A; kept up only in slow pulses.
    """

    def __init__(
        self, strength: float, start_duty: float, sticks: float = 1.0, wheel: float = WHEEL_RADIUS
    ) -> None:
        self.inputs = (Input(), Input())
        self.emf = strength * EMF * (WHEEL_RADIUS / wheel)
        usual = start_duty * self.emf * _FULL_VOLTS / _OHM
        self.hold, self.drag = sticks * usual, DRAG_SHARE * usual
        self.amps = 0.0

    @property
    def pulsed(self) -> bool:
        """Whether the bridge is between two edges of slow pulses, and each input a level."""
        ahead, back = self.inputs
        return (ahead.slow or back.slow) and not (ahead.now.freq_hz or back.now.freq_hz)

    def until_change(self, volts: float, rim: float) -> float:
        """Give how long in s the current is of one kind, in slow pulses."""
        longest = min((i.until_edge() for i in self.inputs if i.slow), default=math.inf)
        if self.pulsed:
            off = self._target(volts, rim) - self.amps
            if abs(off) > _RIPPLE * _FULL_VOLTS / _OHM:
                longest = min(longest, _SETTLES)
        return longest

    def flow(self, volts: float, rim: float, step: float) -> Flow:
        """Give the current over a step in s, with the rim's speed at its beginning."""
        if self.pulsed:
            return self._within_pulse(volts, rim, step)
        one, other = self.inputs
        ahead, back = one.now, other.now
        if not ahead.duty and not back.duty:
            return NOTHING
        emf = self.emf * rim
        fed = feed(ahead, back, volts, emf, TUG_MOTOR.resistance, TUG_MOTOR.inductance)
        amps, slope = fed.amps, fed.slope
        # All currents grow as the voltages do, so one slope follows from the other (Euler).
        per = 1.0 / volts if volts > 1e-3 else 0.0
        peak = amps
        if not rim:
            freq = max(ahead.freq_hz, back.freq_hz)
            peak += (fed.peak - amps) / math.sqrt(1.0 + (math.tau * freq * _GEAR_PLAY) ** 2)
        return Flow(
            amps, slope, per * (amps + emf * slope), peak,
            fed.supply, fed.supply_slope, per * (fed.supply + emf * fed.supply_slope),
        )  # fmt: skip

    def push(self, flow: Flow, rim: float, more: float) -> Push:
        """Give what turns the wheel while a current flows, with so many V more of the supply."""
        emf = self.emf
        return Push(
            emf * (flow.amps + more * flow.gain), emf * emf * flow.slope,
            emf * (flow.peak + more * flow.gain), self.hold, self.drag, rim,
        )  # fmt: skip

    def twin(self) -> Side:
        """Give another one that is where this one is."""
        twin = Side(1.0, 0.0)
        twin.inputs = self.inputs[0].twin(), self.inputs[1].twin()
        twin.emf, twin.hold, twin.drag, twin.amps = self.emf, self.hold, self.drag, self.amps
        return twin

    def pass_time(self, duration: float, volts: float, rims: tuple[float, float]) -> None:
        """Move on within slow pulses for a time in s, while the rim went from one speed to another.

        Within `flow` the current ends where the rim's first speed takes it; here it ends where
        the last one does.
        """
        if self.pulsed:
            target, gone = self._target(volts, rims[1]), math.exp(-duration / _TAU)
            amps = target + (self.amps - target) * gone
            if not any(i.now.duty for i in self.inputs) and amps * self.amps <= 0.0:
                amps = 0.0  # through the diodes it does not turn round
            self.amps = amps
        for signal in self.inputs:
            if signal.slow:
                signal.pass_time(duration)

    def _target(self, volts: float, rim: float) -> float:
        """Give the current in A that the levels of the moment would lead to."""
        ahead, back = self.inputs[0].now.duty, self.inputs[1].now.duty
        if ahead or back:
            return ((ahead - back) * volts - self.emf * rim) / _OHM
        if not self.amps:
            return 0.0
        return (-math.copysign(volts, self.amps) - self.emf * rim) / _OHM

    def _within_pulse(self, volts: float, rim: float, step: float) -> Flow:
        """Follow the current between two edges; it begins where it was before the first."""
        ahead, back = self.inputs[0].now.duty, self.inputs[1].now.duty
        target, begun = self._target(volts, rim), self.amps
        if not ahead and not back:
            return self._dying(target, step)
        share = -math.expm1(-step / _TAU) * _TAU / step
        amps = target + (begun - target) * share
        last = target + (begun - target) * math.exp(-step / _TAU)
        way, slope = ahead - back, (1.0 - share) / _OHM
        return Flow(
            amps, slope, way * slope, max(begun, last, key=abs),
            way * amps, way * slope, way * way * slope,
        )  # fmt: skip

    def _dying(self, target: float, step: float) -> Flow:
        """Follow a current that runs back into the supply through the diodes until it dies."""
        begun = self.amps
        if not begun:
            return NOTHING
        lasts = _TAU * math.log1p(-begun / target) if target * begun < 0.0 else math.inf
        lasts = min(lasts, step)
        gone = -math.expm1(-lasts / _TAU) * _TAU
        amps = (target * lasts + (begun - target) * gone) / step
        return Flow(amps, 0.0, 0.0, begun, -abs(amps), 0.0, 0.0)
