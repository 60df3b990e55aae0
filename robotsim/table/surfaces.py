"""Surfaces: hulls, paddles, float and walls, and which of them are near each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ..units import wrap
from .ball import BALL_RADIUS, Ball
from .contact import Row, Speeds
from .solids import Walls, off_rod

__all__ = [
    "PADDLE", "PADDLE_HALF", "PIVOT_AHEAD", "Hull", "Key", "Pair", "Surfaces", "Touch", "first_of",
    "paddle", "weights_of",
]  # fmt: skip

PIVOT_AHEAD = 0.058
"""Distance in m of the arm's pivot ahead of the axle: at the bow."""
PADDLE = 0.030
"""Length of the paddle in m."""
PADDLE_HALF = 0.002
"""Half its thickness in m."""
_BOUNCE_FLOAT = 0.5
"""Restitution of the float (invented; a squash ball at 23 and at 45 degrees C rebounds to about
12 and 30 % of its height, e = 0.35 and 0.55: World Squash, from memory)."""
_BOUNCE_HULL = 0.1
"""Restitution of the hull on a wall (invented)."""
_WALL_FRICTION = 0.2
"""Friction of the hull's side on a wall (invented: smooth plastic)."""
_NEAR = 0.005
"""Gap in m beyond which nothing can meet within a step."""


class Touch(NamedTuple):
    """Two things that touch.

    Attributes:
        what: "wall" (hull and wall), "float" (hull and float), "arm" (paddle
            and float), "tug" (hull and hull) or "float-wall".
        impulse: In N s, over the step.
        bearing: Where on the hull, from the bow, to port positive, in rad;
            0 for "float-wall".
        hull: Which hull it is, counted from 0.
    """

    what: str
    impulse: float
    bearing: float = 0.0
    hull: int = 0


@dataclass
class Hull:
    """The tug as a body: pose, speeds, and its arm.

    Attributes:
        x, y: The axle's middle, which is the hull's, in m.
        heading: In rad.
        vx, vy: Velocity over the table in m/s.
        turn_rate: In rad/s.
        arm_angle: The arm from the bow, to port positive, in rad.
        arm_rate: How fast it swings, in rad/s.
    """

    x: float
    y: float
    heading: float = 0.0
    vx: float = 0.0
    vy: float = 0.0
    turn_rate: float = 0.0
    arm_angle: float = 0.0
    arm_rate: float = 0.0

    @property
    def speed(self) -> float:
        """Speed along the heading in m/s."""
        return self.vx * math.cos(self.heading) + self.vy * math.sin(self.heading)

    @property
    def to_port(self) -> tuple[float, float, float]:
        """How its three speeds count towards its speed to port."""
        return -math.sin(self.heading), math.cos(self.heading), 0.0

    @property
    def aside(self) -> float:
        """Speed to port in m/s: the tyres are being dragged sideways."""
        return self.vy * math.cos(self.heading) - self.vx * math.sin(self.heading)

    def drive(self, speed: float, turn_rate: float) -> None:
        """Set what the wheels make: speed along the heading and rate of turn."""
        more = speed - self.speed
        self.vx += more * math.cos(self.heading)
        self.vy += more * math.sin(self.heading)
        self.turn_rate = turn_rate


Key = tuple[str, int, int]
"""What, place and hull of two surfaces."""


class Pair(NamedTuple):
    """Two surfaces near each other.

    Attributes:
        what: As in `Touch`.
        place: Which wall it is.
        gap: Between the surfaces, in m; negative if they overlap.
        row: That they may not approach.
        rub: Friction between them.
        bearing, hull: As in `Touch`.
    """

    what: str
    place: int
    gap: float
    row: Row
    rub: Row | None = None
    bearing: float = 0.0
    hull: int = 0

    @property
    def key(self) -> Key:
        """What it is known by from step to step."""
        return self.what, self.place, self.hull


class Surfaces:
    """What is near what: the hulls, their paddles, the float and the walls.

    Args:
        walls: The walls.
        radius: Of a hull, in m.
    """

    def __init__(self, walls: Walls, radius: float) -> None:
        self._walls, self._radius = walls, radius

    def pairs(self, hulls: Sequence[Hull], ball: Ball | None) -> Iterator[Pair]:
        """Go through the surfaces that are near each other."""
        if ball:
            yield from self._float_pairs(ball, hulls)
        radius, many = self._radius, len(hulls)
        for k, hull in enumerate(hulls):
            for place, distance, nx, ny in self._walls.within(hull.x, hull.y, radius + _NEAR):
                row = Row(weights_of(k, many, (nx, ny, 0.0)), bounce=_BOUNCE_HULL)
                slide = weights_of(k, many, (-ny, nx, -radius))
                rub = Row(slide, friction=_WALL_FRICTION, leader=row)
                bearing = wrap(math.atan2(-ny, -nx) - hull.heading)
                yield Pair("wall", place, distance - radius, row, rub, bearing, k)
        if many > 1:
            yield from self._hull_pair(hulls[0], hulls[1])

    def _hull_pair(self, one: Hull, other: Hull) -> Iterator[Pair]:
        """Give the pair of two hulls; they slip on each other as on a wall."""
        dx, dy, radius = other.x - one.x, other.y - one.y, self._radius
        apart = math.hypot(dx, dy)
        if apart - 2 * radius < _NEAR and apart:
            nx, ny = dx / apart, dy / apart
            row = Row((-nx, -ny, 0.0, 0.0, 0.0, nx, ny, 0.0), bounce=_BOUNCE_HULL)
            slide = (ny, -nx, -radius, 0.0, 0.0, -ny, nx, -radius)
            rub = Row(slide, friction=_WALL_FRICTION, leader=row)
            bearing = wrap(math.atan2(dy, dx) - one.heading)
            yield Pair("tug", 0, apart - 2 * radius, row, rub, bearing)

    def _float_pairs(self, ball: Ball, hulls: Sequence[Hull]) -> Iterator[Pair]:
        many = len(hulls)
        for k, hull in enumerate(hulls):
            dx, dy = ball.x - hull.x, ball.y - hull.y
            apart = math.hypot(dx, dy)
            gap = apart - self._radius - BALL_RADIUS
            if gap < _NEAR and apart:
                nx, ny = dx / apart, dy / apart
                row = Row(weights_of(k, many, (-nx, -ny, 0.0), (nx, ny)), bounce=_BOUNCE_FLOAT)
                bearing = wrap(math.atan2(dy, dx) - hull.heading)
                yield Pair("float", 0, gap, row, bearing=bearing, hull=k)
            if gap < PADDLE + _NEAR:
                rod = paddle(hull)
                distance, nx, ny, x, y = off_rod(ball.x, ball.y, rod)
                gap = distance - PADDLE_HALF - BALL_RADIUS
                if gap < _NEAR:
                    lever = (x - hull.x) * ny - (y - hull.y) * nx
                    swing = hull.arm_rate * ((x - rod[0]) * ny - (y - rod[1]) * nx)
                    row = Row(weights_of(k, many, (-nx, -ny, -lever), (nx, ny)),
                              surface=-swing, bounce=_BOUNCE_FLOAT)  # fmt: skip
                    bearing = wrap(math.atan2(y - hull.y, x - hull.x) - hull.heading)
                    yield Pair("arm", 0, gap, row, bearing=bearing, hull=k)
        for place, distance, nx, ny in self._walls.within(ball.x, ball.y, BALL_RADIUS + _NEAR):
            row = Row(weights_of(0, many, (0.0, 0.0, 0.0), (nx, ny)), bounce=_BOUNCE_FLOAT)
            yield Pair("float-wall", place, distance - BALL_RADIUS, row)


def first_of(hull: int) -> int:
    """Give where the three speeds of a hull begin among all speeds."""
    return 0 if hull == 0 else 2 + 3 * hull


def weights_of(
    hull: int, many: int, weights: tuple[float, float, float],
    floats: tuple[float, float] = (0.0, 0.0),
) -> Speeds:  # fmt: skip
    """Give the weights of a condition on one hull among many, and on the float."""
    if many == 1:
        return *weights, *floats
    still = (0.0, 0.0, 0.0)
    first, *others = (weights if k == hull else still for k in range(many))
    return sum(others, (*first, *floats))


def paddle(hull: Hull) -> tuple[float, float, float, float]:
    """Give the ends of the paddle's middle line: pivot, then tip."""
    x = hull.x + PIVOT_AHEAD * math.cos(hull.heading)
    y = hull.y + PIVOT_AHEAD * math.sin(hull.heading)
    way = hull.heading + hull.arm_angle
    return x, y, x + PADDLE * math.cos(way), y + PADDLE * math.sin(way)
