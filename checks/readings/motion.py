"""Driving: what a recording says about motors, wheels and the way that a tug went.

Everything here is read from pins and tracks: which duty each motor got and
for how long, where the tug went from there, whether it came to a wall.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from robotsim import PINS, Recording, make_table, run_trial
from robotsim.parts.wheels import HULL_RADIUS
from robotsim.recording import once

__all__ = [
    "MOTOR_PINS",
    "SIDES",
    "Phase",
    "Way",
    "at_rest",
    "driven",
    "faster_side",
    "hit_wall",
    "mean_duty",
    "motor_phases",
    "needed",
    "rolled",
    "start_duties",
    "still_driven",
    "top_duty",
    "top_speed",
]

SIDES = ("left", "right")
MOTOR_PINS = {side: (PINS[f"{side}_ahead"], PINS[f"{side}_back"]) for side in SIDES}
"""Side to the pins of its bridge's inputs, ahead and back."""


_TOUCH = 0.002
"""Nearer to a wall than this, in m, is taken for a touch."""
_GLITCH_S = 0.002
"""A state of the two inputs that lasts less, while one is set after the other, moves nothing."""
_NO_DRIVE = 0.004
_STILL = 0.002
"""Rim speed in m/s below which a wheel counts as standing."""


class Phase(NamedTuple):
    """A stretch of time in which one motor's inputs stayed as they were.

    Attributes:
        begin: When it began, in s.
        end: When it ended, in s.
        duty: Share of the time that the motor is driven, -1 (back) to 1 (ahead).
        brake: Share of the time that it is braked; in what is left it coasts.
        freq_hz: Pulses a second, 0 for steady levels.
    """

    begin: float
    end: float
    duty: float
    brake: float
    freq_hz: float

    @property
    def seconds(self) -> float:
        """How long it lasted."""
        return self.end - self.begin

    @property
    def braked(self) -> bool:
        """Whether it is braked between its pulses (slow decay)."""
        return self.brake > _NO_DRIVE

    @property
    def fast(self) -> bool:
        """Whether the motor is driven in pulses and coasts between them (fast decay)."""
        return _NO_DRIVE < abs(self.duty) < 0.999 and not self.braked


def motor_phases(recording: Recording, side: str, shortest: float = _GLITCH_S) -> list[Phase]:
    """Give the phases of one motor that last at least `shortest` seconds.

    Pulses on both inputs start together, so the motor is driven for the difference of the
    duties and braked for the smaller one (DRV8835 data sheet SLVSB18, table 2).
    """
    return [p for p in _all_phases(recording, side) if p.seconds >= shortest]


@once
def _all_phases(recording: Recording, side: str) -> list[Phase]:
    pins = MOTOR_PINS[side]
    state = {pin: (0.0, 0.0) for pin in pins}
    changes: list[tuple[float, float, float, float]] = [(0.0, 0.0, 0.0, 0.0)]
    for event in recording.of("pin", "pwm", "mode"):
        pin = event.data[0]
        if pin not in state or (event.kind == "mode" and event.data[1] != "in"):
            continue
        if event.kind == "pwm":
            state[pin] = (min(event.data[2] / 65535, 1.0), float(event.data[1]))
        else:
            state[pin] = (float(event.data[1]) if event.kind == "pin" else 0.0, 0.0)
        (ahead, freq_a), (back, freq_b) = (state[p] for p in pins)
        changes.append((event.seconds, ahead - back, min(ahead, back), max(freq_a, freq_b)))
    ends = [*(change[0] for change in changes[1:]), recording.seconds]
    return [
        Phase(begin, end, 0.0 if abs(duty) < _NO_DRIVE else duty, brake, freq)
        for (begin, duty, brake, freq), end in zip(changes, ends, strict=True)
    ]


def driven(recording: Recording, side: str) -> list[Phase]:
    """Give the phases in which one motor is driven."""
    return [phase for phase in motor_phases(recording, side) if phase.duty]


def still_driven(recording: Recording) -> list[str]:
    """Give the sides whose motor is driven at the end of the trial."""
    return [side for side in SIDES if (p := motor_phases(recording, side)) and p[-1].duty]


def top_duty(recording: Recording, side: str) -> float:
    """Give the largest duty that one motor got, not signed."""
    return max((abs(phase.duty) for phase in driven(recording, side)), default=0.0)


def mean_duty(recording: Recording, side: str) -> float:
    """Give the signed duty of one motor, averaged over the time in which it was driven."""
    phases = driven(recording, side)
    total = sum(phase.seconds for phase in phases)
    return sum(p.duty * p.seconds for p in phases) / total if total else 0.0


def rolled(recording: Recording, side: str, until: float | None = None) -> float:
    """Give how far one wheel rolled in m, ahead positive, if asked only up to a time in s."""
    speeds, step = recording.tracks[side], recording.tracks["t"][1]
    rows = len(speeds) if until is None else round(until / step)
    return math.fsum(speeds[:rows]) * step


def top_speed(recording: Recording, side: str) -> float:
    """Give the highest rim speed of one wheel in m/s, not signed."""
    return max(map(abs, recording.tracks[side]))


def at_rest(recording: Recording) -> bool:
    """Tell whether the tug stands at the end, its motors not driven."""
    turning = any(abs(recording.tracks[side][-1]) > _STILL for side in SIDES)
    return not turning and not still_driven(recording)


def hit_wall(recording: Recording) -> float | None:
    """Give when the tug first came to a wall, in s, or None."""
    touched = [e.seconds for e in recording.of("touch") if e.data[0] == "wall"]
    table = make_table(recording.table, recording.seed)
    if table.walls:
        near = HULL_RADIUS + _TOUCH
        rows = zip(*(recording.tracks[c] for c in ("t", "x", "y")), strict=True)
        for t, x, y in rows:
            if not (near <= x <= table.width - near and near <= y <= table.height - near):
                touched.append(t)
                break
    return min(touched, default=None)


@dataclass(frozen=True)
class Way:
    """Where the tug went, seen from where it began: ahead and to port in m, turned in rad.

    Attributes:
        t: Times in s.
        ahead: Distance ahead of the start; negative astern.
        port: Distance to port (left) of the start; negative to starboard.
        turned: Heading less the first one, counter-clockwise positive, not wrapped.
    """

    t: tuple[float, ...]
    ahead: tuple[float, ...]
    port: tuple[float, ...]
    turned: tuple[float, ...]

    @classmethod
    def of(cls, recording: Recording, until: float | None = None) -> Way:
        """Read the way from a recording's tracks, if asked only up to a time in s."""
        times = recording.tracks["t"]
        rows = len(times) if until is None else max(1, round(until / times[1]))
        xs, ys, heads = (recording.tracks[name][:rows] for name in ("x", "y", "heading"))
        cos, sin = math.cos(heads[0]), math.sin(heads[0])
        offsets = [(x - xs[0], y - ys[0]) for x, y in zip(xs, ys, strict=True)]
        return cls(
            times[:rows],
            tuple(dx * cos + dy * sin for dx, dy in offsets),
            tuple(dy * cos - dx * sin for dx, dy in offsets),
            tuple(heading - heads[0] for heading in heads),
        )

    @property
    def points(self) -> Sequence[tuple[float, float]]:
        """The places (ahead, port) one after the other."""
        return list(zip(self.ahead, self.port, strict=True))

    @functools.cached_property
    def path(self) -> float:
        """Length of the way in m."""
        points = self.points
        return math.fsum(math.dist(a, b) for a, b in zip(points, points[1:], strict=False))

    @functools.cached_property
    def farthest(self) -> float:
        """Greatest distance from the start in m."""
        return max(math.hypot(*point) for point in self.points)

    @property
    def end(self) -> tuple[float, float]:
        """Where the tug ended (ahead, port)."""
        return self.ahead[-1], self.port[-1]

    def when(self, values: Sequence[float]) -> float:
        """Give the time of the largest of some values, one a sample."""
        return self.t[max(range(len(values)), key=values.__getitem__)]


def needed(recording: Recording) -> dict[str, float]:
    """Give the duty at which each wheel starts, with as many pulses a second as the motors got."""
    freqs = [p.freq_hz for side in SIDES for p in driven(recording, side) if p.freq_hz]
    freq = round(max(freqs, default=0.0))
    return start_duties(recording.serial, freq if 200 <= freq <= 40000 else 1000)


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
_EVEN = """
from machine import Pin, PWM
import time
left, left_back, right, right_back = [PWM(Pin(n), freq=1000, duty_u16=0) for n in ({}, {}, {}, {})]
left_back.duty_u16(32768)
right_back.duty_u16(32768)
left.duty_u16(65535)
right.duty_u16(65535)
time.sleep(1)
left.duty_u16(0)
right.duty_u16(0)
left_back.duty_u16(0)
right_back.duty_u16(0)
"""
_RISE = 164
"""A quarter of a percent of 65535."""
_FIRST, _LAST = 40, 140
"""The ramp goes from 10 % to 35 %."""


@functools.lru_cache(maxsize=512)
def faster_side(serial: int) -> str:
    """Find the side whose wheel runs faster when both motors get the same duty.

    Args:
        serial: The tug.

    Returns:
        "left" or "right"; "" if neither is faster by 1 %.
    """
    program = _EVEN.format(*(pin for side in SIDES for pin in MOTOR_PINS[side]))
    recording = run_trial(program, serial=serial, seconds=1.5)
    left, right = (rolled(recording, side) for side in SIDES)
    if abs(left - right) < 0.01 * max(left, right):
        return ""
    return "left" if left > right else "right"


@functools.lru_cache(maxsize=512)
def start_duties(serial: int, freq_hz: int = 1000) -> dict[str, float]:
    """Measure the duty at which each wheel of a tug starts from rest in slow decay.

    Both motors are braked, then driven ahead by a quarter of a percent more
    every 40 ms, until both wheels turn: what the lesson tells a learner to do,
    in finer steps.

    Args:
        serial: The tug.
        freq_hz: Pulses a second: at 20000 a wheel starts at 0.02 more than at 1000.

    Returns:
        Side to duty, 0 to 1; the ramp's end for a wheel that has not started.
    """
    pins = ", ".join(str(pin) for side in SIDES for pin in MOTOR_PINS[side])
    program = _RAMP.format(freq=freq_hz, pins=pins, first=_FIRST, last=_LAST, rise=_RISE)
    recording = run_trial(program, serial=serial, seconds=0.3 + 0.04 * (_LAST - _FIRST))
    found = {}
    for side in SIDES:
        phases = driven(recording, side)
        speeds = zip(recording.tracks["t"], recording.tracks[side], strict=True)
        begun = next((t for t, speed in speeds if t > 0.15 and speed > _STILL), recording.seconds)
        found[side] = max((p.duty for p in phases if p.begin < begun), default=1.0)
    return found
