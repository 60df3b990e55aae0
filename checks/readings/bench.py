"""Bench: what a tug itself is like, measured by driving it on its own.

A criterion that asks for "the lowest duty at which it starts" needs to know that duty; it is found
as the lesson tells a learner to find it, in finer steps, and once for each tug: on the ideal day,
about which its real ones lie.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

from robotsim import Recording, Whose, run_trial
from robotsim.parts import IDEAL
from robotsim.parts.wheels import TRACK

from .motion import MOTOR_PINS, SIDES, STILL, driven, rolled

__all__ = ["Bend", "bend", "faster_side", "needed", "start_duties"]


def needed(recording: Recording, day: str = IDEAL.name) -> dict[str, float]:
    """Give the duty at which each wheel starts, with as many pulses a second as the motors got.

    It is that of the ideal day, about which its real ones lie, or of the day that is named.
    """
    freqs = [p.freq_hz for side in SIDES for p in driven(recording, side) if p.freq_hz]
    freq = round(max(freqs, default=0.0))
    return start_duties(recording.serial, freq if 200 <= freq <= 40000 else 1000, day)


_PINS = ", ".join(str(pin) for side in SIDES for pin in MOTOR_PINS[side])
_RAMP = """
from machine import Pin, PWM
import time
pins = [PWM(Pin(n), freq={freq}, duty_u16=0) for n in ({pins})]
for pwm in pins:
    pwm.duty_u16(65535)
time.sleep_ms(200)
for step in range({first}, {last}):
    for pwm in pins[1::2]:
        pwm.duty_u16(65535 - step * {rise})
    time.sleep_ms(40)
"""
_AHEAD = """
from machine import Pin, PWM
import time
pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({pins})]
for ahead, back, effort in ((0, 1, {left}), (2, 3, {right})):
    pins[back].duty_u16(int(65535 * (1 - effort)))
    pins[ahead].duty_u16(65535)
time.sleep(1)
for pwm in pins:
    pwm.duty_u16(0)
"""
_RISE = 164
"""A quarter of a percent of 65535."""
_FIRST, _LAST = 40, 140
"""The ramp goes from 10 % to 35 %."""


def _rolled_at(serial: int, left: float, right: float) -> tuple[float, float]:
    """Drive both motors ahead for a second in slow decay, and give how far each wheel rolled."""
    program = _AHEAD.format(pins=_PINS, left=left, right=right)
    recording = run_trial(program, serial=serial, seconds=1.5, day=IDEAL.name, whose=Whose.KIT)
    return rolled(recording, "left"), rolled(recording, "right")


class Bend(NamedTuple):
    """How a tug bends on two duties.

    Attributes:
        curvature: 1 / radius in 1/m, to port positive.
        rate_deg: How far it turns in a second from rest to rest, in degrees, to port positive.
    """

    curvature: float
    rate_deg: float


@functools.lru_cache(maxsize=512)
def bend(serial: int, left: float, right: float) -> Bend:
    """Measure how a tug bends on two duties."""
    one, other = _rolled_at(serial, left, right)
    turned = (other - one) / TRACK
    return Bend(2 * turned / max(one + other, 1e-3), math.degrees(turned))


@functools.lru_cache(maxsize=512)
def faster_side(serial: int) -> str:
    """Find the side whose wheel runs faster when both motors get the same duty.

    Args:
        serial: The tug.

    Returns:
        "left" or "right"; "" if neither is faster by 1 %.
    """
    left, right = _rolled_at(serial, 0.5, 0.5)
    if abs(left - right) < 0.01 * max(left, right):
        return ""
    return "left" if left > right else "right"


@functools.lru_cache(maxsize=512)
def start_duties(serial: int, freq_hz: int = 1000, day: str = IDEAL.name) -> dict[str, float]:
    """Measure the duty at which each wheel of a tug starts from rest in slow decay.

    Both motors are braked, then driven ahead by a quarter of a percent more
    every 40 ms, until both wheels turn: what the lesson tells a learner to do,
    in finer steps.

    Args:
        serial: The tug.
        freq_hz: Pulses a second: at 20000 a wheel starts at 0.02 more than at 1000.
        day: The day on which; without it the ideal one.

    Returns:
        Side to duty, 0 to 1; the ramp's end for a wheel that has not started.
    """
    program = _RAMP.format(freq=freq_hz, pins=_PINS, first=_FIRST, last=_LAST, rise=_RISE)
    seconds = 0.3 + 0.04 * (_LAST - _FIRST)
    recording = run_trial(
        program, serial=serial, seconds=seconds, day=day, whose=Whose.KIT
    )
    found = {}
    for side in SIDES:
        phases = driven(recording, side)
        speeds = zip(recording.tracks["t"], recording.tracks[side], strict=True)
        begun = next((t for t, speed in speeds if t > 0.15 and speed > STILL), recording.seconds)
        found[side] = max((p.duty for p in phases if p.begin < begun), default=1.0)
    return found
