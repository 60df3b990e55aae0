"""The board's analogue-to-digital converter: volts to counts."""

from __future__ import annotations

__all__ = ["FULL_SCALE", "counts", "microvolts"]

FULL_SCALE = (0.95, 1.25, 1.75, 3.1)
"""Voltage at the highest count for the four attenuations 0, 2.5, 6 and 11 dB, in V."""
_LINEAR_TO = (0.95, 1.25, 1.75, 2.45)
_DEAD_BELOW = (0.06, 0.06, 0.08, 0.10)


def counts(volts: float, attenuation: int) -> int:
    """Give the 12-bit count for a voltage.

    *Model*: proportional, V = D Vmax/4095, with nothing counted in the first
    tenth of a volt, and at 11 dB a curve that flattens above 2.45 V.
    *Source*: Espressif's ADC guide: formula and recommended ranges (read); the
    shape outside those ranges is common practice, no source.

    Args:
        volts: Voltage at the pin in V.
        attenuation: 0 to 3 for 0, 2.5, 6 and 11 dB.
    """
    top, bend = FULL_SCALE[attenuation], _LINEAR_TO[attenuation]
    if volts <= _DEAD_BELOW[attenuation]:
        return 0
    if volts > bend and bend < top:
        # Beyond the recommended range the curve runs ahead and reaches the top early.
        volts = bend + (volts - bend) * 1.25
    return max(0, min(4095, int(volts * 4095 / top + 0.5)))


def microvolts(count: int, attenuation: int) -> int:
    """Give the voltage for a count as the board's own calibration tells it, in whole mV x 1000."""
    return round(count * FULL_SCALE[attenuation] / 4095 * 1000) * 1000
