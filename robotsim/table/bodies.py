"""Bodies: hull, arm, float and walls as solid things that touch, push and bounce."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from ..units import wrap
from .ball import BALL_MASS, BALL_RADIUS, Ball
from .contact import QUIET, Row, Speeds, resolve
from .solids import Walls, off_rod
from .table import Table

__all__ = ["PADDLE", "PIVOT_AHEAD", "Bodies", "Hull", "Touch"]

PIVOT_AHEAD = 0.058
"""Distance in m of the arm's pivot ahead of the axle: at the bow."""
PADDLE = 0.030
"""Length of the paddle in m."""
_PADDLE_HALF = 0.002
_BOUNCE_FLOAT = 0.5
"""Restitution of the float (invented; a squash ball at 23 and at 45 degrees C rebounds to about
12 and 30 % of its height, e = 0.35 and 0.55: World Squash, from memory)."""
_BOUNCE_HULL = 0.1
"""Restitution of the hull on a wall (invented)."""
_WALL_FRICTION = 0.2
"""Friction of the hull's side on a wall (invented: smooth plastic)."""

_LOOK_AHEAD = 0.010
"""Time in s that `Bodies.busy` looks ahead."""
_SUDDEN = 0.0015
"""How far in m hull and float can come closer in that time by what the wheels may yet do."""
_ARM_SUDDEN = 0.0045
"""The same of the paddle, should the servo start: its tip moves 0.3 m/s."""
_NEAR = 0.005
"""Gap in m beyond which nothing can meet within a step."""
_TOUCHING = 1e-7
"""Gap in m at which surfaces touch."""
_HELD = 1e-4
"""Gap in m up to which surfaces that have touched still count as touching."""
_TURNS = 24
"""Most impacts within one step; what is left of it then passes without bounce."""
_ANEW = 0.05
"""Approach in m/s from which another impact of the same two things is told again."""


class Touch(NamedTuple):
    """Two things that touch.

    Attributes:
        what: "wall" (hull and wall), "float" (hull and float), "arm" (paddle
            and float) or "float-wall".
        impulse: In N s, over the step.
        bearing: Where on the hull, from the bow, to port positive, in rad;
            0 for "float-wall".
    """

    what: str
    impulse: float
    bearing: float = 0.0


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
    def aside(self) -> float:
        """Speed to port in m/s: the tyres are being dragged sideways."""
        return self.vy * math.cos(self.heading) - self.vx * math.sin(self.heading)

    def drive(self, speed: float, turn_rate: float) -> None:
        """Set what the wheels make: speed along the heading and rate of turn."""
        more = speed - self.speed
        self.vx += more * math.cos(self.heading)
        self.vy += more * math.sin(self.heading)
        self.turn_rate = turn_rate


class _Pair(NamedTuple):
    """Two surfaces near each other.

    Attributes:
        what: As in `Touch`.
        place: Which wall it is.
        gap: Between the surfaces, in m; negative if they overlap.
        row: That they may not approach.
        rub: Friction between them.
        bearing: As in `Touch`.
    """

    what: str
    place: int
    gap: float
    row: Row
    rub: Row | None = None
    bearing: float = 0.0


class _Tally:
    """What touched within one step: impulses and hardest approach by pair."""

    def __init__(self) -> None:
        self.impulse: dict[tuple[str, int], float] = {}
        self.approach: dict[tuple[str, int], float] = {}
        self.bearing: dict[tuple[str, int], float] = {}

    def add(self, pair: _Pair, approach: float) -> None:
        key = pair.what, pair.place
        self.impulse[key] = self.impulse.get(key, 0.0) + pair.row.impulse
        self.approach[key] = max(self.approach.get(key, 0.0), approach)
        self.bearing[key] = pair.bearing


class Bodies:
    """Everything solid on a table.

    *Model*: rigid, seen from above: a round hull, a round float, straight
    walls, and the paddle as a rod that swings on the hull at a rate which the
    servo keeps whatever it meets.  Within a step things move freely from one
    impact to the next; an impact changes speeds by impulses (restitution,
    friction of hull on wall).  The tyres resist sideways motion up to their
    grip.  The pen's and the dock's walls are low: the paddle swings above.
    Left out: friction of the float on hull, paddle and walls, and with it the
    float's spin about its upright axis; its hop when it is struck hard.
    *Source*: momentum and restitution, textbook; figures invented.

    Args:
        table: The table.
        hull_radius: In m.
        mass: Of the tug, in kg.
        inertia: About its middle, in kg m^2.
        grip: Largest sideways force of both tyres in N; 0 lets the hull slide like a puck.

    Attributes:
        ball: The float, or None.
        contacts: What touches now; the impulses are those of the last step.
        struck: Whether something struck in the last step.
    """

    def __init__(
        self, table: Table, hull_radius: float, mass: float, inertia: float, *, grip: float = 0.0
    ) -> None:
        self.ball = Ball(*table.float_start) if table.float_start else None
        self.contacts: tuple[Touch, ...] = ()
        self._radius, self._mass, self._grip = hull_radius, mass, grip
        self._ease: Speeds = (1 / mass, 1 / mass, 1 / inertia, 1 / BALL_MASS, 1 / BALL_MASS)
        self._walls, self._dock = Walls(table), table.dock
        self._held: frozenset[tuple[str, int]] = frozenset()
        self._tally, self.struck = _Tally(), False
        self._known: list[tuple[str, int]] = []
        self._impulses: list[float] = []

    # -- what is asked -------------------------------------------------------

    @property
    def float_pose(self) -> tuple[float, float, float, float, float] | None:
        """The float: x, y in m, velocity along x and y in m/s, how fast it turns in rad/s."""
        ball = self.ball
        if ball is None:
            return None
        return ball.x, ball.y, ball.vx, ball.vy, math.hypot(ball.rim_x, ball.rim_y) / BALL_RADIUS

    @property
    def docked(self) -> bool:
        """Whether the float's middle has crossed the gate and is inside the dock.

        Walls stand on the other three sides: it comes and goes through the gate only.
        """
        ball, dock = self.ball, self._dock
        if ball is None or dock is None:
            return False
        c, s = math.cos(dock.heading), math.sin(dock.heading)
        inwards = (ball.x - dock.x) * c + (ball.y - dock.y) * s
        aside = (ball.y - dock.y) * c - (ball.x - dock.x) * s
        return 0.0 < inwards < dock.depth and abs(aside) < dock.width / 2

    def busy(self, hull: Hull) -> bool:
        """Tell whether anything could touch within the next 10 ms."""
        moved = _SUDDEN + _LOOK_AHEAD * (abs(hull.vx) + abs(hull.vy))
        if self._walls.near(hull.x, hull.y, self._radius + moved):
            return True
        ball = self.ball
        if ball is None:
            return False
        if not ball.still:
            rolled = _LOOK_AHEAD * (
                max(abs(ball.vx), abs(ball.rim_x)) + max(abs(ball.vy), abs(ball.rim_y))
            )
            if self._walls.near(ball.x, ball.y, BALL_RADIUS + rolled + 1e-6):
                return True
            moved += rolled
        dx, dy = ball.x - hull.x, ball.y - hull.y
        apart = dx * dx + dy * dy
        if apart < (self._radius + BALL_RADIUS + moved) ** 2:
            return True
        swept = PIVOT_AHEAD + PADDLE
        reach = _PADDLE_HALF + BALL_RADIUS + moved + _ARM_SUDDEN
        reach += _LOOK_AHEAD * (abs(hull.turn_rate) * swept + abs(hull.arm_rate) * PADDLE)
        if apart > (swept + reach) ** 2:
            return False
        return off_rod(ball.x, ball.y, _paddle(hull)).distance < reach

    # -- living on -----------------------------------------------------------

    def drift(self, duration: float) -> None:
        """Let the float roll on alone for a time in s, as long as nothing can touch."""
        self.contacts, self._held = (), frozenset()
        if self.ball:
            self.ball.advance(duration)

    def step(self, duration: float, hull: Hull) -> list[Touch]:
        """Move hull and float on for at most 1 ms, with all that they touch on the way.

        Args:
            duration: In s.
            hull: The tug, with the speeds that its wheels gave it; changed in place.

        Returns:
            What began to touch within the step, and what struck anew.
        """
        left, grip, self.struck = duration, self._grip * duration, False
        for turn in range(_TURNS + 1):
            pairs, bounce = list(self._pairs(hull)), turn < _TURNS
            meet = [pair for pair in pairs if pair.gap <= _TOUCHING]
            if bounce:
                self._strike(meet, hull)
            speeds = self._speeds(hull)
            pressed = any(pair.row.speed(speeds) < -1e-9 for pair in meet)
            if pressed or not bounce or (grip and not turn):
                grip -= self._impact(meet, grip, hull, bounce=bounce)
            free = self._until(pairs, hull, left) if bounce else left
            self._move(free, hull)
            left -= free
            if left <= 0.0:
                break
        pairs = list(self._pairs(hull))
        self._part(pairs, hull)
        tally, self._tally = self._tally, _Tally()
        return self._tell(pairs, tally)

    def until_blow(self, hull: Hull, within: float) -> float:
        """Give the time in s until hull or float strikes something; `within` if it does not."""
        return self._until(self._pairs(hull), hull, within, QUIET)

    def _until(
        self, pairs: Iterable[_Pair], hull: Hull, within: float, least: float = 0.0
    ) -> float:
        """Give the time in s until surfaces meet that approach by more than so many m/s."""
        speeds = self._speeds(hull)
        for pair in pairs:
            if pair.gap > _TOUCHING and (speed := pair.row.speed(speeds)) < -least:
                within = min(within, (pair.gap - 0.5 * _TOUCHING) / -speed)
        return within

    def strike(self, hull: Hull) -> None:
        """Let what meets now strike, in no time."""
        self._strike([pair for pair in self._pairs(hull) if pair.gap <= _TOUCHING], hull)

    def _strike(self, meet: list[_Pair], hull: Hull) -> None:
        """Let what meets strike, by pushes alone: a blow is over before the tyres have dragged."""
        speeds = self._speeds(hull)
        if any(pair.row.speed(speeds) < -QUIET for pair in meet):
            self._impact(meet, 0.0, hull)
            self.struck = True

    def _speeds(self, hull: Hull) -> Speeds:
        ball = self.ball
        moves = (ball.vx, ball.vy) if ball else (0.0, 0.0)
        return hull.vx, hull.vy, hull.turn_rate, *moves

    def _impact(
        self, meet: list[_Pair], grip: float, hull: Hull, *, bounce: bool = True
    ) -> float:
        """Let what touches push, and the tyres resist; give the tyres' impulse in N s."""
        before = self._speeds(hull)
        rows = [pair.row for pair in meet] + [pair.rub for pair in meet if pair.rub]
        aside = (-math.sin(hull.heading), math.cos(hull.heading), 0.0, 0.0, 0.0)
        tyres = Row(aside, limit=max(grip, 0.0))
        if grip > 0.0:
            rows.append(tyres)
        # What leans on a wall does so in the next step too: begin where the last one ended.
        known = [(pair.what, pair.place) for pair in meet]
        if bounce and known == self._known and len(rows) == len(self._impulses):
            for row, impulse in zip(rows, self._impulses, strict=True):
                row.impulse = impulse
        if not bounce:
            for row in rows:
                row.bounce = 0.0
        after = resolve(rows, before, self._ease)
        hull.vx, hull.vy, hull.turn_rate = after[:3]
        if self.ball:
            self.ball.vx, self.ball.vy = after[3:]
        self._known, self._impulses = known, [row.impulse for row in rows]
        for pair in meet:
            self._tally.add(pair, -pair.row.speed(before))
        return abs(tyres.impulse)

    def _move(self, duration: float, hull: Hull) -> None:
        """Move all freely; tyres that grip take the hull along an arc."""
        if self.ball:
            self.ball.advance(duration)
        along, turned = hull.speed, hull.turn_rate * duration
        needed = self._mass * abs(along * hull.turn_rate)
        led = turned * (1.0 if needed <= self._grip else self._grip / needed)
        c, s, half = math.cos(hull.heading), math.sin(hull.heading), 0.5 * led
        drag_x, drag_y = hull.vx - along * c, hull.vy - along * s
        chord = along * duration * (math.sin(half) / half if half else 1.0)
        hull.x += chord * math.cos(hull.heading + half) + drag_x * duration
        hull.y += chord * math.sin(hull.heading + half) + drag_y * duration
        if led:
            hull.vx = along * math.cos(hull.heading + led) + drag_x
            hull.vy = along * math.sin(hull.heading + led) + drag_y
        hull.heading += turned
        hull.arm_angle += hull.arm_rate * duration

    def _part(self, pairs: list[_Pair], hull: Hull) -> None:
        """Move apart what rounding, or a squeeze that has no way out, let overlap."""
        for pair in pairs:
            if pair.gap < -_TOUCHING:
                a, b, _, d, e = pair.row.weights
                share = -pair.gap / (
                    (a * a + b * b) * self._ease[0] + (d * d + e * e) * self._ease[3]
                )
                hull.x += share * a * self._ease[0]
                hull.y += share * b * self._ease[0]
                if self.ball:
                    self.ball.x += share * d * self._ease[3]
                    self.ball.y += share * e * self._ease[3]

    def _tell(self, pairs: list[_Pair], tally: _Tally) -> list[Touch]:
        """Take note of what touches now; give what is new."""
        near = {(pair.what, pair.place): pair.bearing for pair in pairs if pair.gap <= _HELD}
        touched = {key for key, impulse in tally.impulse.items() if impulse > 0.0}
        held = {key: near[key] for key in near if key in self._held or key in touched}
        self.contacts = tuple(
            Touch(key[0], tally.impulse.get(key, 0.0), bearing) for key, bearing in held.items()
        )
        new = [
            Touch(key[0], impulse, tally.bearing[key])
            for key, impulse in tally.impulse.items()
            if impulse > 0.0 and (key not in self._held or tally.approach[key] >= _ANEW)
        ]
        self._held = frozenset(held)
        return new

    # -- what is near what ---------------------------------------------------

    def _pairs(self, hull: Hull) -> Iterator[_Pair]:
        """Go through the surfaces that are near each other."""
        if self.ball:
            yield from self._float_pairs(self.ball, hull)
        radius = self._radius
        for place, distance, nx, ny in self._walls.within(hull.x, hull.y, radius + _NEAR):
            row = Row((nx, ny, 0.0, 0.0, 0.0), bounce=_BOUNCE_HULL)
            rub = Row((-ny, nx, -radius, 0.0, 0.0), friction=_WALL_FRICTION, leader=row)
            bearing = wrap(math.atan2(-ny, -nx) - hull.heading)
            yield _Pair("wall", place, distance - radius, row, rub, bearing)

    def _float_pairs(self, ball: Ball, hull: Hull) -> Iterator[_Pair]:
        dx, dy = ball.x - hull.x, ball.y - hull.y
        apart = math.hypot(dx, dy)
        gap = apart - self._radius - BALL_RADIUS
        if gap < _NEAR and apart:
            nx, ny = dx / apart, dy / apart
            row = Row((-nx, -ny, 0.0, nx, ny), bounce=_BOUNCE_FLOAT)
            yield _Pair("float", 0, gap, row, bearing=wrap(math.atan2(dy, dx) - hull.heading))
        if gap < PADDLE + _NEAR:
            rod = _paddle(hull)
            distance, nx, ny, x, y = off_rod(ball.x, ball.y, rod)
            gap = distance - _PADDLE_HALF - BALL_RADIUS
            if gap < _NEAR:
                lever = (x - hull.x) * ny - (y - hull.y) * nx
                swing = hull.arm_rate * ((x - rod[0]) * ny - (y - rod[1]) * nx)
                row = Row((-nx, -ny, -lever, nx, ny), surface=-swing, bounce=_BOUNCE_FLOAT)
                bearing = wrap(math.atan2(y - hull.y, x - hull.x) - hull.heading)
                yield _Pair("arm", 0, gap, row, bearing=bearing)
        for place, distance, nx, ny in self._walls.within(ball.x, ball.y, BALL_RADIUS + _NEAR):
            row = Row((0.0, 0.0, 0.0, nx, ny), bounce=_BOUNCE_FLOAT)
            yield _Pair("float-wall", place, distance - BALL_RADIUS, row)


def _paddle(hull: Hull) -> tuple[float, float, float, float]:
    """Give the ends of the paddle's middle line: pivot, then tip."""
    x = hull.x + PIVOT_AHEAD * math.cos(hull.heading)
    y = hull.y + PIVOT_AHEAD * math.sin(hull.heading)
    way = hull.heading + hull.arm_angle
    return x, y, x + PADDLE * math.cos(way), y + PADDLE * math.sin(way)
