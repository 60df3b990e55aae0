"""Bridge: the H-bridge that feeds one motor from two input pins."""

from __future__ import annotations

import math

from ..wiring import Signal

__all__ = ["ON_RESISTANCE", "Feed", "feed"]

ON_RESISTANCE = 0.305
"""Both switches on, in ohm: DRV8835 data sheet SLVSB18, typical at 5 V (read)."""


class Feed:
    """What a bridge does to its motor, averaged over a cycle of the PWM.

    Attributes:
        amps: Average motor current in A at the back-EMF asked for.
        slope: Fall of that current for each volt of back-EMF, in A/V.
        peak: The current at the end of driving, where it is farthest the way the
            bridge drives, in A.
        supply: Average current taken from the battery, in A.
        supply_slope: Fall of that for each volt of back-EMF, in A/V.
    """

    __slots__ = ("amps", "peak", "slope", "supply", "supply_slope")

    def __init__(
        self, amps: float, slope: float, peak: float, supply: float, supply_slope: float
    ) -> None:
        self.amps, self.slope, self.peak = amps, slope, peak
        self.supply, self.supply_slope = supply, supply_slope


_NOTHING = Feed(0.0, 0.0, 0.0, 0.0, 0.0)


def feed(
    ahead: Signal, back: Signal, volts: float, emf: float, resistance: float, inductance: float
) -> Feed:
    """Work out what the bridge feeds to a motor that turns at a steady speed.

    *Model*: inputs 0 0 let the motor coast, 1 0 drive it ahead, 0 1 drive it
    back, 1 1 brake it.  With a PWM on one input the other decides what fills
    the rest of the cycle: low gives coasting (fast decay: the current runs
    back into the supply through the diodes until it dies), high gives braking
    (slow decay: the current circulates, and the effective duty is 1 - d).
    Pulses on both inputs start together.  Within a phase the current is an
    exponential with the time constant L/R; the cycle is closed exactly.
    *Source*: DRV8835 data sheet SLVSB18, table 2 (read); decay modes of the
    DRV8833 class (transcription).

    Args:
        ahead: Signal on the first input.
        back: Signal on the second input.
        volts: Supply voltage.
        emf: The motor's back-EMF in V, positive when it turns ahead.
        resistance: The motor's resistance in ohm, without the bridge's.
        inductance: The motor's inductance in H.
    """
    total = resistance + ON_RESISTANCE
    one, other = ahead.duty, back.duty
    both = min(one, other)
    drive = abs(one - other)
    coast = 1.0 - both - drive
    sign = 1.0 if one >= other else -1.0
    if coast > 1.0 - 1e-12:
        return _NOTHING
    if coast < 1e-12:  # only driving and braking: the circuit is linear, the average exact
        freq = max(ahead.freq_hz, back.freq_hz)
        amps = (drive * volts - sign * emf) / total
        peak, supply = _slow_decay(drive, amps, volts / total, inductance / total * freq)
        return Feed(sign * amps, 1.0 / total, sign * peak, supply, sign * drive / total)
    # The input that is high for longer sets the pace.
    freq = max(ahead, back).freq_hz
    cycle = _Cycle(volts, total, inductance, 1.0 / max(freq, 1.0), both, drive, coast)
    amps, peak, supply = cycle.average(sign * emf)
    nudge = 1e-3 * max(volts, 0.1)
    amps_on, _, supply_on = cycle.average(sign * emf + nudge)
    slope, supply_slope = (amps - amps_on) / nudge, (supply - supply_on) / nudge
    return Feed(sign * amps, max(slope, 0.0), sign * peak, supply, sign * supply_slope)


def _slow_decay(drive: float, amps: float, stall: float, tau: float) -> tuple[float, float]:
    """Give the peak of the current in slow decay and what the supply gives of it, in A.

    The supply gives only what flows while the bridge drives, and that is more
    than its share of the average: the current rises then.

    Args:
        drive: Share of the cycle in which the bridge drives.
        amps: The average current, driving taken as positive.
        stall: The current that the supply would drive through the motor at rest.
        tau: Time constant of the current in cycles.
    """
    if not tau or drive in (0.0, 1.0):
        return amps, drive * amps
    rise, fall = -math.expm1(-drive / tau), -math.expm1(-(1.0 - drive) / tau)
    rest = amps - drive * stall  # what flows in the end while it brakes
    driven = rest + stall
    peak = rest + stall * rise / -math.expm1(-1.0 / tau)
    begun = rest + (peak - rest) * (1.0 - fall)
    return peak, drive * driven + (begun - driven) * tau * rise


class _Cycle:
    """One PWM cycle with coasting in it: braking, driving, coasting in turn."""

    def __init__(
        self, volts: float, resistance: float, inductance: float, period: float,
        both: float, drive: float, coast: float,
    ) -> None:  # fmt: skip
        self.volts, self.resistance = volts, resistance
        self.tau = inductance / resistance
        self.period = period
        self.phases = (both * period, drive * period, coast * period)

    def average(self, emf: float) -> tuple[float, float, float]:
        """Give (average, peak, supply) current at a back-EMF, driving taken as positive."""
        end, charge, peak, taken = self._once(0.0, emf)
        if abs(end) > 1e-12:
            # The current never dies: the map from start to end is a straight line, whose
            # fixed point is where the cycle closes.
            other = self._once(end, emf)[0]
            gain = (other - end) / end
            end, charge, peak, taken = self._once(end / (1.0 - gain), emf)
        return charge / self.period, peak, taken / self.period

    def _once(self, amps: float, emf: float) -> tuple[float, float, float, float]:
        brake, drive, coast = self.phases
        amps, charge = self._relax(amps, -emf, brake)
        amps, driven = self._relax(amps, self.volts - emf, drive)
        peak = amps
        charge += driven
        taken = driven
        if amps:
            # Through the diodes the supply stands against the current until it dies.
            against = (-self.volts if amps > 0.0 else self.volts) - emf
            target = against / self.resistance
            if target * amps < 0.0:
                dies = self.tau * math.log1p(-amps / target)
            else:
                dies = math.inf
            amps, returned = self._relax(amps, against, min(coast, dies))
            if dies <= coast:
                amps = 0.0
            charge += returned
            taken -= abs(returned)
        return amps, charge, peak, taken

    def _relax(self, amps: float, volts: float, duration: float) -> tuple[float, float]:
        """Follow the current for a time under a steady voltage: (at the end, charge)."""
        target = volts / self.resistance
        gone = -math.expm1(-duration / self.tau)
        return amps + (target - amps) * gone, target * duration + (amps - target) * self.tau * gone
