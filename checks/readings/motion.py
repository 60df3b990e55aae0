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

from robotsim import PINS, Recording, make_table
from robotsim.parts.wheels import HULL_RADIUS, TRACK
from robotsim.recording import once
from robotsim.wiring import FLOATING

__all__ = [
    "MOTOR_PINS",
    "SIDES",
    "STILL",
    "Move",
    "Phase",
    "Way",
    "at_rest",
    "driven",
    "hit_wall",
    "mean_duty",
    "motor_duties",
    "motor_phases",
    "moves",
    "rolled",
    "still_braked",
    "still_driven",
    "top_duty",
]

SIDES = ("left", "right")
MOTOR_PINS = {side: (PINS[f"{side}_ahead"], PINS[f"{side}_back"]) for side in SIDES}
"""Side to the pins of its bridge's inputs, ahead and back."""
_TOUCH = 0.002
"""Nearer to a wall than this, in m, is taken for a touch."""
_GLITCH_S = 0.002
"""A state of the two inputs that lasts less, while one is set after the other, moves nothing."""
_NO_DRIVE = 0.004
STILL = 0.002
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
    state = dict.fromkeys(pins, FLOATING)
    changes: list[tuple[float, float, float, float]] = [(0.0, 0.0, 0.0, 0.0)]
    for change in recording.outputs(*pins):
        state[change.pin] = change.signal
        (ahead, freq_a), (back, freq_b) = (state[p] for p in pins)
        changes.append((change.seconds, ahead - back, min(ahead, back), max(freq_a, freq_b)))
    ends = [*(change[0] for change in changes[1:]), recording.seconds]
    return [
        Phase(begin, end, 0.0 if abs(duty) < _NO_DRIVE else duty, brake, freq)
        for (begin, duty, brake, freq), end in zip(changes, ends, strict=True)
    ]


def motor_duties(recording: Recording) -> set[int]:
    """Give the numbers of all duties that the motors' pins got as pulses, 0 to 65535."""
    pins = [pin for pair in MOTOR_PINS.values() for pin in pair]
    return {told.duty_u16 for told in recording.outputs(*pins) if told.pulsed}


def driven(recording: Recording, side: str) -> list[Phase]:
    """Give the phases in which one motor is driven."""
    return [phase for phase in motor_phases(recording, side) if phase.duty]


def still_driven(recording: Recording) -> list[str]:
    """Give the sides whose motor is driven at the end of the trial."""
    return [side for side in SIDES if (p := motor_phases(recording, side)) and p[-1].duty]


def still_braked(recording: Recording) -> list[str]:
    """Give the sides whose motor is braked at the end of the trial: both inputs high."""
    last = {side: motor_phases(recording, side)[-1:] for side in SIDES}
    return [
        side for side in SIDES if last[side] and not last[side][0].duty and last[side][0].braked
    ]


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


def at_rest(recording: Recording) -> bool:
    """Tell whether the tug stands at the end, its motors not driven."""
    turning = any(abs(recording.tracks[side][-1]) > STILL for side in SIDES)
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

    t: Sequence[float]
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


class Move(NamedTuple):
    """A stretch of the way on which the wheels turned the same way, or against each other.

    Attributes:
        straight: Whether they turned the same way; if not, it is a turn on the spot.
        length: How far it went in m, ahead positive.
        turned: How far it turned in rad, to port positive.
    """

    straight: bool
    length: float
    turned: float


_MOVING = 0.01
"""Rim speed in m/s below which a move is over."""
_LEAST_LENGTH, _LEAST_TURN = 0.05, 0.2
"""What is shorter, in m, or turns by less, in rad, is no move of its own."""


def moves(recording: Recording) -> list[Move]:
    """Cut the way into its moves."""
    found: list[Move] = []
    step = recording.tracks["t"][1]
    kind: bool | None = None
    for left, right in zip(recording.tracks["left"], recording.tracks["right"], strict=True):
        now = None if max(abs(left), abs(right)) < _MOVING else left * right > 0
        if now is not None and now != kind:
            found.append(Move(now, 0.0, 0.0))
        if now is not None:
            _, length, turned = found[-1]
            length += step * (left + right) / 2
            found[-1] = Move(now, length, turned + step * (right - left) / TRACK)
        kind = now
    return [
        m
        for m in found
        if (abs(m.length) > _LEAST_LENGTH if m.straight else abs(m.turned) > _LEAST_TURN)
    ]
