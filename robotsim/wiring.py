"""Wiring: which part hangs on which pin, and what an output pin puts out.

Ground floor: the board and the parts both read it, so neither needs the other.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["DUTY_STEPS", "FLOATING", "FULL_DUTY", "LAMPS", "PINS", "Signal", "duty_share"]


class Signal(NamedTuple):
    """What an output pin puts out until further notice.

    A steady level is a duty of 0.0 or 1.0 with frequency 0.  The waveform
    itself is worked out only when someone looks at it.

    Attributes:
        duty: Share of the time that the pin is high, 0 to 1.
        freq_hz: Pulses a second; 0 for a steady level.
    """

    duty: float
    freq_hz: float

    @property
    def pulse_s(self) -> float:
        """Length of one pulse in seconds (0 for a steady level)."""
        return self.duty / self.freq_hz if self.freq_hz else 0.0


FLOATING = Signal(0.0, 0.0)
"""A pin that nobody drives; every input of the tug has a pull-down, so it reads low."""

PINS: dict[str, int] = {
    "lamps": 13,
    "right_back": 14,
    "arm": 18,
    "bumper": 19,
    "sda": 21,
    "scl": 22,
    "left_ahead": 25,
    "left_back": 26,
    "right_ahead": 27,
    "battery": 33,
    "eye_2": 34,
    "eye_3": 35,
    "eye_0": 36,
    "eye_1": 39,
}
"""Role to pin number.  Eye 0 is the port (left) end of the row, eye 3 the starboard end."""

LAMPS = ("port bow", "starboard bow", "mast", "stern", "deck")
"""The five lamps in the order of the chain."""


FULL_DUTY = 65535
"""The highest duty number: always on."""
DUTY_STEPS = FULL_DUTY + 1
"""Into so many steps the unit divides a cycle; a lower duty number is that many of them."""


def duty_share(duty_u16: int) -> float:
    """Give a 16-bit duty as a share of the time, 0 to 1; the highest number is all of it."""
    return 1.0 if duty_u16 >= FULL_DUTY else duty_u16 / DUTY_STEPS
