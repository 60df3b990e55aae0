"""Converter: what the board's analogue-to-digital converter makes of volts, and takes counts for.

Ground floor: the board converts by it, and pictures write volts beside counts by it.
"""

from __future__ import annotations

import math

from .chance import Noise, Silence

__all__ = ["NOISE", "OFFSETS", "REFERENCE", "STEPS", "Converter"]

REFERENCE = 1.1
"""Of the chip as drawn, in V; real ones have 1.0 to 1.2 (Espressif ADC guide, read)."""
OFFSETS = (0.075, 0.078, 0.107, 0.142)
"""Voltage at which the counts begin, for the attenuations 0, 2.5, 6 and 11 dB, in V (read)."""
STEPS = tuple(s / 65536 / 4096 for s in (57431, 76236, 105481, 196602))
"""Voltage of one count for each volt of the reference (read)."""
NOISE = 10.0
"""In counts, rms."""
_TOP = 4095
_BEND = 2880
_BENT_DB = 3
_END, _END_PER_V = 3.1345, 0.745
"""Voltage at the highest count at 11 dB, and by how much it grows with the reference (read)."""
_A, _B = 1.347, 0.347
"""How the counts get there from the bend: fitted to the maker's table, within 20 mV."""


class Converter:
    """The converter of one board.

    *Model*: a straight line from an offset on, at 11 dB up to 2880 counts and then a bend by which
    each count means less and less; normal noise on each sample.  The board knows its reference,
    so the volts that it tells are right but for what its calibration leaves.
    *Source*: lines and bend, the maker's calibration source for this family (read); noise, +-25
    counts with a constant input (IoT49, a university course's notes on this converter, read),
    taken for 2.5 deviations.

    Args:
        reference: Its reference in V.
        off: What its calibration leaves, in V at the pin.
        noise: The noise of its samples; none if left out.
    """

    def __init__(
        self, reference: float = REFERENCE, off: float = 0.0, noise: Noise | None = None
    ) -> None:
        self.reference, self.off, self.noise = reference, off, noise or Silence()
        self._steps = tuple(step * reference for step in STEPS)
        self._bend = OFFSETS[_BENT_DB] + _BEND * self._steps[_BENT_DB]
        self._end = _END + _END_PER_V * (reference - REFERENCE)

    def count(self, volts: float, attenuation: int, pin: int = 0, time_ns: int = 0) -> int:
        """Give the 12-bit count for a voltage at a pin.

        Args:
            volts: Voltage in V.
            attenuation: 0 to 3 for 0, 2.5, 6 and 11 dB.
            pin: Which pin; each has noise of its own.
            time_ns: When it is sampled; each moment has its noise.
        """
        place = self._place(volts + self.off, attenuation)
        place += NOISE * self.noise.normal(pin, time_ns)
        return min(int(place + 0.5), _TOP) if place > 0.0 else 0

    def _place(self, volts: float, attenuation: int) -> float:
        if attenuation == _BENT_DB and volts > self._bend:
            share = min((volts - self._bend) / (self._end - self._bend), 1.0)
            bent = (_A - math.sqrt(_A * _A - 4.0 * _B * share)) / (2.0 * _B)
            return _BEND + bent * (_TOP - _BEND)
        return (volts - OFFSETS[attenuation]) / self._steps[attenuation]

    def volts(self, count: float, attenuation: int) -> float:
        """Give the voltage that the board's own calibration takes a count for, in V."""
        if attenuation == _BENT_DB and count > _BEND:
            share = (count - _BEND) / (_TOP - _BEND)
            return self._bend + (_A * share - _B * share * share) * (self._end - self._bend)
        return OFFSETS[attenuation] + count * self._steps[attenuation]

    def microvolts(self, count: int, attenuation: int) -> int:
        """Give the same as a program is told it, in whole mV x 1000."""
        return round(self.volts(count, attenuation) * 1000) * 1000
