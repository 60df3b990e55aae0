"""Build: how one robot is put together; one clear line for each thing that cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..errors import KitError, UnknownNameError
from ..wiring import DRAWN, PINS, Build
from .figures import mapping, number

__all__ = ["check_pins", "read_build"]

_INPUT_ONLY = frozenset(range(34, 40))
_ANALOG = frozenset(range(32, 40))
"""Pins of the converter that works beside the radio (maker's documentation of this family)."""
_THERE = frozenset((*range(0, 6), *range(12, 20), *range(21, 24), *range(25, 28), *range(32, 40)))
"""6 to 11 are the flash's own; the others do not exist."""
_TALKS = frozenset((1, 3))
"""The console's own pins: what hangs there is driven by whatever is printed."""
_READ = ("battery", "eye_0", "eye_1", "eye_2", "eye_3")
_MOST_LAMPS = 30
"""With more of them the chain alone draws as much as a motor that is held (invented)."""
_WHEEL_MM, _TRACK_MM = (20.0, 120.0), (40.0, 250.0)
"""Diameters and tracks that a small robot of this kind may have (invented)."""


def read_build(data: Mapping[str, Any]) -> Build:
    """Give how a robot is put together; what is not said is as drawn.

    Args:
        data: What `tug.json` holds: `pins` (role to pin), `lamps` (how many), `wheel_mm`
            (diameter), `track_mm` (from wheel to wheel).

    Raises:
        KitError: Something that cannot be: what, where, and what is accepted.
    """
    lamps = data.get("lamps", DRAWN.lamps)
    if isinstance(lamps, bool) or not isinstance(lamps, int) or not 1 <= lamps <= _MOST_LAMPS:
        raise KitError(f"The chain has 1 to {_MOST_LAMPS} lamps, not {lamps!r}.", where="lamps",
                       hint="how many there are; as drawn it is 5.")  # fmt: skip
    wheel = _length(data, "wheel_mm", 2000.0 * DRAWN.wheel, _WHEEL_MM)
    track = _length(data, "track_mm", 1000.0 * DRAWN.track, _TRACK_MM)
    pins = check_pins({**PINS, **mapping(data, "pins")})
    return Build(pins, lamps, wheel / 2000.0, track / 1000.0)


def check_pins(pins: Mapping[str, Any]) -> dict[str, int]:
    """Give the pins of a wiring that can be.

    Args:
        pins: Role to pin; the roles of `PINS`.

    Raises:
        KitError: One that cannot be: which role, which pin, and why.
    """
    taken: dict[int, str] = {}
    for role, pin in pins.items():
        if role not in PINS:
            raise UnknownNameError("role", role, PINS)
        if isinstance(pin, bool) or not isinstance(pin, int) or pin not in _THERE:
            raise _cannot(role, pin, "this board has no such pin free",
                          "0 to 5, 12 to 19, 21 to 23, 25 to 27, 32 to 39")  # fmt: skip
        if pin in _TALKS:
            raise _cannot(role, pin, "the console speaks on it", "another pin")
        if pin in taken:
            raise _cannot(role, pin, f"{taken[pin]} is on it already", "one part on one pin")
        if role in _READ and pin not in _ANALOG:
            raise _cannot(role, pin, "no voltage can be read on it beside the radio", "32 to 39")
        if role not in (*_READ, "bumper") and pin in _INPUT_ONLY:
            raise _cannot(role, pin, "it is an input only", "a pin below 34")
        if role == "bumper" and pin in _INPUT_ONLY:
            raise _cannot(role, pin, "it has no pull-up inside", "a pin below 34")
        taken[pin] = role
    return {role: int(pin) for role, pin in pins.items()}


def _cannot(role: str, pin: Any, why: str, accepted: str) -> KitError:
    return KitError(f"{role} cannot be on pin {pin!r}: {why}.", where=role, hint=accepted)


def _length(
    data: Mapping[str, Any], name: str, drawn: float, limits: tuple[float, float]
) -> float:
    """Give a length in mm."""
    found, (low, high) = number(data, name, drawn), limits
    if not low <= found <= high:
        raise KitError(f"{name} is {low:g} to {high:g}, not {found:g}.", where=name,
                       hint=f"in mm; as drawn it is {drawn:g}.")  # fmt: skip
    return found
