"""Wiring: which part hangs on which pin, and what an output pin puts out.

Ground floor: the board and the parts both read it, so neither needs the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

__all__ = [
    "DRAWN", "DUTY_STEPS", "FLOATING", "FULL_DUTY", "LAMPS", "PINS", "Build", "Signal",
    "duty_share",
]  # fmt: skip


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


@dataclass(frozen=True)
class Build:
    """How a tug is put together: as drawn, unless it is said otherwise.

    Attributes:
        pins: Role to pin number.
        lamps: How many lamps the chain has.
        wheel: Radius of the wheels, in m.
        track: From wheel to wheel, in m.
    """

    pins: Mapping[str, int] = field(default_factory=lambda: dict(PINS), hash=False)
    lamps: int = len(LAMPS)
    wheel: float = 0.022
    track: float = 0.092

    @cached_property
    def roles(self) -> dict[int, str]:
        """Pin number to what it is there for."""
        return {pin: role for role, pin in self.pins.items()}

    @cached_property
    def motors(self) -> dict[str, tuple[int, int]]:
        """Each side's two pins: ahead, back."""
        pins = self.pins
        return {side: (pins[f"{side}_ahead"], pins[f"{side}_back"]) for side in ("left", "right")}

    def name_of(self, pin: int) -> str:
        """Give what a pin is there for; one that has no role is called "pin 4"."""
        return self.roles.get(pin, f"pin {pin}")

    def number_of(self, name: str) -> int:
        """Give the number of a pin that `name_of` has named."""
        return self.pins[name] if name in self.pins else int(name.removeprefix("pin "))

    @property
    def lamp_names(self) -> tuple[str, ...]:
        """What the lamps are called, in the order of the chain; further ones by their number."""
        more = (f"lamp {k}" for k in range(len(LAMPS), self.lamps))
        return (*LAMPS[: self.lamps], *more)


DRAWN = Build()
"""The tug as it is drawn: that of the lessons, and of all that is marked."""


FULL_DUTY = 65535
"""The highest duty number: always on."""
DUTY_STEPS = FULL_DUTY + 1
"""Into so many steps the unit divides a cycle; a lower duty number is that many of them."""


def duty_share(duty_u16: int) -> float:
    """Give a 16-bit duty as a share of the time, 0 to 1; the highest number is all of it."""
    return 1.0 if duty_u16 >= FULL_DUTY else duty_u16 / DUTY_STEPS
