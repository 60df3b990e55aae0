"""Bodies: hull, arm, float and walls as solid things that touch, push and bounce."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from .ball import BALL_MASS, BALL_RADIUS, Ball
from .contact import QUIET, Row, Speeds, resolve
from .solids import Walls, off_rod
from .surfaces import (
    PADDLE,
    PADDLE_HALF,
    PIVOT_AHEAD,
    Hull,
    Key,
    Pair,
    Surfaces,
    Touch,
    first_of,
    paddle,
    weights_of,
)
from .table import Table
from .tally import Tally

__all__ = ["PADDLE", "PIVOT_AHEAD", "Bodies", "Hull", "Touch"]

_LOOK_AHEAD = 0.010
"""Time in s that `Bodies.busy` looks ahead."""
_SUDDEN = 0.0015
"""How far in m hull and float can come closer in that time by what the wheels may yet do."""
_ARM_SUDDEN = 0.0045
"""The same of the paddle, should the servo start: its tip moves 0.3 m/s."""
_TOUCHING = 1e-7
"""Gap in m at which surfaces touch."""
_TURNS = 24
"""Most impacts within one step; what is left of it then passes without bounce."""


class Bodies:
    """Everything solid on a table.

    *Model*: rigid, seen from above: a round hull or two alike, a round float, straight
    walls, and the paddle as a rod that swings on the hull at a rate which the
    servo keeps whatever it meets.  Paddles swing above another hull.  Within a
    step things move freely from one impact to the next; an impact changes
    speeds by impulses (restitution, friction of hulls on walls and each other).
    The tyres resist sideways motion up to their grip.  The pen's and the dock's
    walls are low: the paddle swings above.  Left out: friction of the float on
    hull, paddle and walls, and with it the float's spin about its upright axis;
    its hop when it is struck hard.
    *Source*: momentum and restitution, textbook; figures invented.

    Args:
        table: The table.
        hull_radius: In m.
        mass: Of the tug, in kg.
        inertia: About its middle, in kg m^2.
        grip: Largest sideways force of both tyres in N; 0 lets the hull slide like a puck.

    Attributes:
        ball: The float, or None.
        struck: Whether something struck in the last step.
    """

    def __init__(
        self, table: Table, hull_radius: float, mass: float, inertia: float, *, grip: float = 0.0
    ) -> None:
        self.ball = Ball(*table.float_start) if table.float_start else None
        self._radius, self._mass, self._grip = hull_radius, mass, grip
        self._hull_ease = (1 / mass, 1 / mass, 1 / inertia)
        self._ease: Speeds = (*self._hull_ease, 1 / BALL_MASS, 1 / BALL_MASS)
        self._walls, self._dock = Walls(table), table.dock
        self._surfaces = Surfaces(self._walls, hull_radius)
        self._tally, self.struck = Tally(), False
        self._known: list[Key] = []
        self._impulses: list[float] = []

    # -- what is asked -------------------------------------------------------

    @property
    def contacts(self) -> tuple[Touch, ...]:
        """What touches now; the impulses are those of the last step."""
        return self._tally.contacts

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

    @property
    def float_still(self) -> bool:
        """Whether no float moves."""
        return self.ball is None or self.ball.still

    def busy(self, *hulls: Hull) -> bool:
        """Tell whether anything could touch within the next 10 ms."""
        if len(hulls) > 1 and any(
            math.hypot(a.x - b.x, a.y - b.y) < 2 * self._radius + _soon(a) + _soon(b)
            for a, b in itertools.combinations(hulls, 2)
        ):
            return True
        for hull in hulls:  # no generator: this is asked in every step
            if self._is_near(hull):
                return True
        return False

    def _is_near(self, hull: Hull) -> bool:
        """Tell whether a hull could touch wall or float, or the float a wall, so soon."""
        moved = _soon(hull)
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
        reach = PADDLE_HALF + BALL_RADIUS + moved + _ARM_SUDDEN
        reach += _LOOK_AHEAD * (abs(hull.turn_rate) * swept + abs(hull.arm_rate) * PADDLE)
        if apart > (swept + reach) ** 2:
            return False
        return off_rod(ball.x, ball.y, paddle(hull)).distance < reach

    # -- living on -----------------------------------------------------------

    def drift(self, duration: float) -> None:
        """Let the float roll on alone for a time in s, as long as nothing can touch."""
        self._tally.forget()
        if self.ball:
            self.ball.advance(duration)

    def step(self, duration: float, *hulls: Hull) -> list[Touch]:
        """Move hulls and float on for at most 1 ms, with all that they touch on the way.

        Args:
            duration: In s.
            hulls: The tugs, with the speeds that their wheels gave them; changed in place.

        Returns:
            What began to touch within the step, and what struck anew.
        """
        left, self.struck = duration, False
        grips = [self._grip * duration for _ in hulls]
        for turn in range(_TURNS + 1):
            pairs, bounce = list(self._surfaces.pairs(hulls, self.ball)), turn < _TURNS
            meet = [pair for pair in pairs if pair.gap <= _TOUCHING]
            if bounce:
                self._strike(meet, hulls)
            speeds = self._speeds(hulls)
            pressed = any(pair.row.speed(speeds) < -1e-9 for pair in meet)
            if pressed or not bounce or (any(grips) and not turn):
                self._impact(meet, grips, hulls, bounce=bounce)
            free = self._until(pairs, hulls, left) if bounce else left
            if self.ball:
                self.ball.advance(free)
            for hull in hulls:
                self._move(free, hull)
            left -= free
            if left <= 0.0:
                break
        pairs = list(self._surfaces.pairs(hulls, self.ball))
        self._part(pairs, hulls)
        return self._tally.tell(pairs, hulls)

    def until_blow(self, within: float, *hulls: Hull) -> float:
        """Give the time in s until hull or float strikes something; `within` if none does."""
        return self._until(self._surfaces.pairs(hulls, self.ball), hulls, within, QUIET)

    def _until(
        self, pairs: Iterable[Pair], hulls: Sequence[Hull], within: float, least: float = 0.0
    ) -> float:
        """Give the time in s until surfaces meet that approach by more than so many m/s."""
        speeds = self._speeds(hulls)
        for pair in pairs:
            if pair.gap > _TOUCHING and (speed := pair.row.speed(speeds)) < -least:
                within = min(within, (pair.gap - 0.5 * _TOUCHING) / -speed)
        return within

    def strike(self, *hulls: Hull) -> None:
        """Let what meets now strike, in no time."""
        near = self._surfaces.pairs(hulls, self.ball)
        self._strike([pair for pair in near if pair.gap <= _TOUCHING], hulls)

    def _strike(self, meet: list[Pair], hulls: Sequence[Hull]) -> None:
        """Let what meets strike, by pushes alone: a blow is over before the tyres have dragged."""
        speeds = self._speeds(hulls)
        if any(pair.row.speed(speeds) < -QUIET for pair in meet):
            self._impact(meet, [0.0] * len(hulls), hulls)
            self.struck = True

    def _speeds(self, hulls: Sequence[Hull]) -> Speeds:
        ball, hull = self.ball, hulls[0]
        moves = (ball.vx, ball.vy) if ball else (0.0, 0.0)
        first = hull.vx, hull.vy, hull.turn_rate, *moves
        return sum([(more.vx, more.vy, more.turn_rate) for more in hulls[1:]], first)

    def _impact(
        self, meet: list[Pair], grips: list[float], hulls: Sequence[Hull], *, bounce: bool = True
    ) -> None:
        """Let what touches push, and the tyres resist; what they use of their impulse is gone.

        Args:
            meet: What touches.
            grips: What the tyres of each hull can still give in this step, in N s; changed.
            hulls: The tugs; their speeds are changed.
            bounce: Whether anything may bounce.
        """
        before = self._speeds(hulls)
        rows = [pair.row for pair in meet] + [pair.rub for pair in meet if pair.rub]
        tyres = {
            k: Row(weights_of(k, len(hulls), hull.to_port), limit=grip)
            for k, (hull, grip) in enumerate(zip(hulls, grips, strict=True))
            if grip > 0.0
        }
        rows += tyres.values()
        # What leans on a wall does so in the next step too: begin where the last one ended.
        known = [pair.key for pair in meet]
        if bounce and known == self._known and len(rows) == len(self._impulses):
            for row, impulse in zip(rows, self._impulses, strict=True):
                row.impulse = impulse
        if not bounce:
            for row in rows:
                row.bounce = 0.0
        after = resolve(rows, before, self._ease + self._hull_ease * (len(hulls) - 1))
        for k, hull in enumerate(hulls):
            hull.vx, hull.vy, hull.turn_rate = after[first_of(k) : first_of(k) + 3]
        if self.ball:
            self.ball.vx, self.ball.vy = after[3:5]
        self._known, self._impulses = known, [row.impulse for row in rows]
        for pair in meet:
            self._tally.add(pair, -pair.row.speed(before))
        for k, row in tyres.items():
            grips[k] -= abs(row.impulse)

    def _move(self, duration: float, hull: Hull) -> None:
        """Move a hull freely; tyres that grip take it along an arc."""
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

    def _part(self, pairs: list[Pair], hulls: Sequence[Hull]) -> None:
        """Move apart what rounding, or a squeeze that has no way out, let overlap."""
        ball, easy = self.ball, self._hull_ease[0]
        for pair in pairs:
            if pair.gap < -_TOUCHING:
                ways = [pair.row.weights[first_of(k) :][:2] for k in range(len(hulls))]
                d, e = pair.row.weights[3:5]
                share = -pair.gap / (
                    easy * sum([a * a + b * b for a, b in ways])
                    + (d * d + e * e) * self._ease[3]
                )  # fmt: skip
                for hull, (a, b) in zip(hulls, ways, strict=True):
                    hull.x += share * a * easy
                    hull.y += share * b * easy
                if ball:
                    ball.x += share * d * self._ease[3]
                    ball.y += share * e * self._ease[3]


def _soon(hull: Hull) -> float:
    """Give how far in m a hull may come in the time that `Bodies.busy` looks ahead."""
    return _SUDDEN + _LOOK_AHEAD * (abs(hull.vx) + abs(hull.vy))
