"""Waking: what a recording says of a board's first moments - which motor pins were quiet first."""

from __future__ import annotations

from robotsim import Recording

from .motion import MOTOR_PINS, SIDES, motor_phases

__all__ = ["first_drive", "never_set_low"]

_OTHER_PARTS = ("frame", "adc", "read", "i2c", "nack", "print", "sleep", "radio")


def never_set_low(recording: Recording) -> list[int]:
    """Give the motor pins that were not set low, or not at once, before anything else was done."""
    waiting = {pin for pair in MOTOR_PINS.values() for pin in pair}
    begun = min((event.time_ns for event in recording.of(*_OTHER_PARTS)), default=None)
    low: set[int] = set()
    high: set[int] = set()
    for told in recording.outputs():
        if told.pin not in waiting or begun is not None and told.told_ns >= begun:
            break
        # An output without a value begins low; a pulse train without a duty at one half.
        (high if told.duty_u16 else low).add(told.pin)
    return sorted(waiting - (low - high))


def first_drive(recording: Recording) -> float | None:
    """Give when a motor was first driven, however shortly, in s; None for never."""
    begun = [p.begin for side in SIDES for p in motor_phases(recording, side, 0.0) if p.duty]
    return min(begun, default=None)
