"""Wired: may a robot be wired like that? One clear line for each thing that cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..errors import KitError, UnknownNameError
from ..wiring import PINS
from .miswired import Fault

__all__ = ["as_wired", "check_pins"]

_INPUT_ONLY = frozenset(range(34, 40))
_ANALOG = frozenset(range(32, 40))
"""Pins of the converter that works beside the radio (maker's documentation of this family)."""
_THERE = frozenset((*range(0, 6), *range(12, 20), *range(21, 24), *range(25, 28), *range(32, 40)))
"""6 to 11 are the flash's own; the others do not exist."""
_TALKS = frozenset((1, 3))
"""The console's own pins: what hangs there is driven by whatever is printed."""
_READ = ("battery", "eye_0", "eye_1", "eye_2", "eye_3")


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


def as_wired(pins: Mapping[str, int]) -> Fault:
    """Give what leads each pin of a board that is wired otherwise to its part; no fault at all."""
    leads: dict[int, int | None] = {pin: None for pin in PINS.values()}
    return Fault(leads | {pin: PINS[role] for role, pin in pins.items()})
