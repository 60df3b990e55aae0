"""Waking: what a recording says of a board's first moments - which motor pins were quiet first."""

from __future__ import annotations

from robotsim import Recording

from .motion import MOTOR_PINS, SIDES, motor_phases

__all__ = ["first_drive", "never_set_low"]

_OTHER_PARTS = ("frame", "adc", "read", "i2c", "nack", "print", "sleep", "radio")


def never_set_low(recording: Recording) -> list[int]:
    """Give the motor pins that were not set low, or not at once, before anything else was done."""
    waiting = {pin for pair in MOTOR_PINS.values() for pin in pair}
    low: set[int] = set()
    high: set[int] = set()
    for event in recording.events:
        if event.kind in ("pin", "pwm", "mode"):
            pin, value = event.data[0], event.data[-1]
            if pin not in waiting:
                break
            # An output without a value begins low; a pulse train without a duty at one half.
            (low if event.kind == "mode" or not value else high).add(pin)
        elif event.kind in _OTHER_PARTS:
            break
    return sorted(waiting - (low - high))


def first_drive(recording: Recording) -> float | None:
    """Give when a motor was first driven, however shortly, in s; None for never."""
    begun = [p.begin for side in SIDES for p in motor_phases(recording, side, 0.0) if p.duty]
    return min(begun, default=None)
