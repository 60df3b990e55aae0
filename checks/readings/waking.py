"""Waking: what a recording says of a board's first moments - which motor pins were quiet first."""

from __future__ import annotations

from robotsim import Recording

from .motion import MOTOR_PINS, SIDES, motor_phases

__all__ = ["first_drive", "never_set_low"]

_OTHER_PARTS = ("frame", "adc", "read", "i2c", "nack", "print", "sleep", "radio")


def never_set_low(recording: Recording) -> list[int]:
    """Give the motor pins that were not set low before the program did anything else."""
    waiting = {pin for pair in MOTOR_PINS.values() for pin in pair}
    for event in recording.events:
        if event.kind in _OTHER_PARTS:
            break
        # An output without a value begins low.
        low = event.data[1] == "out" if event.kind == "mode" else not event.data[-1]
        if event.kind in ("pin", "pwm", "mode") and low:
            waiting.discard(event.data[0])
    return sorted(waiting)


def first_drive(recording: Recording) -> float | None:
    """Give when a motor was first driven, however shortly, in s; None for never."""
    begun = [p.begin for side in SIDES for p in motor_phases(recording, side, 0.0) if p.duty]
    return min(begun, default=None)
