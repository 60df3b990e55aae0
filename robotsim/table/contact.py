"""Contact: the impulses that keep hull and float from passing through what they touch.

Five speeds move on the table: the hull's along x and y and its turning, the
float's along x and y; of each further hull three more come behind them.  A
`Row` is one condition on them (two surfaces may not approach; a tyre resists
being dragged sideways), and `resolve` finds the impulses that meet all of them
at once.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["QUIET", "Row", "Speeds", "resolve"]

Speeds = tuple[float, ...]
"""Hull along x, along y (m/s), turning (rad/s); float along x, along y (m/s); then three more of
each further hull."""
_ONE_HULL = 5
_ROUNDS = 40
QUIET = 0.01
"""Approach in m/s below which nothing bounces (common practice in contact solvers)."""
_SMALL = 1e-12
"""Impulse in N s below which a round has changed nothing."""


@dataclass(slots=True)
class Row:
    """One condition on the speeds.

    Attributes:
        weights: How each of the speeds counts towards the speed that is looked at.
        surface: Part of that speed that none of them makes (a swinging arm), in m/s.
        bounce: Restitution: share of the approach that comes back.
        limit: Largest impulse either way in N s; None for a push, which is never a pull.
        friction: With a leader: the limit is so much of the leader's impulse.
        leader: The row whose push presses these surfaces together.
        impulse: What `resolve` found, in N s; before that, a guess to begin from.
    """

    weights: Speeds
    surface: float = 0.0
    bounce: float = 0.0
    limit: float | None = None
    friction: float = 0.0
    leader: Row | None = None
    impulse: float = 0.0

    def speed(self, speeds: Sequence[float]) -> float:
        """Give the speed that this row looks at, in m/s; negative is an approach."""
        if len(speeds) != _ONE_HULL:
            return _dot(self.weights, speeds) + self.surface
        a, b, c, d, e = self.weights
        u, v, w, x, y = speeds
        return a * u + b * v + c * w + d * x + e * y + self.surface


def resolve(rows: Sequence[Row], speeds: Speeds, ease: Speeds) -> Speeds:
    """Give the speeds after the impulses that meet all rows; each row keeps its own.

    *Model*: Newton's restitution, Coulomb's friction, sequential impulses.
    Several bounces at one moment could gain energy by Newton's rule; then the
    moment passes without bounce, which cannot.
    *Source*: common practice in contact solvers; compared with pymunk in the tests.

    Args:
        rows: The conditions.
        speeds: The speeds before.
        ease: What an impulse of 1 N s does to each speed: one over mass or inertia.
    """
    approach = [row.speed(speeds) for row in rows]
    wanted = [
        -row.bounce * speed if speed < -QUIET else 0.0
        for row, speed in zip(rows, approach, strict=True)
    ]
    go_round = _rounds if len(speeds) == _ONE_HULL else _rounds_of_more
    after = go_round(rows, wanted, speeds, ease)
    work = sum([row.impulse * row.surface for row in rows])  # by the arm's servo
    before = _energy(speeds, ease)
    if any(wanted) and _energy(after, ease) > before - work + 1e-12 * (1.0 + before):
        after = go_round(rows, [0.0] * len(rows), speeds, ease)
    return after


def _energy(speeds: Speeds, ease: Speeds) -> float:
    return sum([0.5 * v * v / e for v, e in zip(speeds, ease, strict=True) if e])


def _rounds(rows: Sequence[Row], wanted: Sequence[float], speeds: Speeds, ease: Speeds) -> Speeds:
    """Go round the rows, each time giving each the impulse that meets it alone.

    Written out for one hull, as nearly every table has it: here most of a contact's time goes.
    """
    u, v, w, x, y = speeds
    eu, ev, ew, ex, ey = ease
    jobs = []
    for row, goal in zip(rows, wanted, strict=True):
        a, b, c, d, e = row.weights
        gives = (a * eu, b * ev, c * ew, d * ex, e * ey)
        mass = 1.0 / (a * gives[0] + b * gives[1] + c * gives[2] + d * gives[3] + e * gives[4])
        jobs.append((row, row.weights, gives, mass, goal - row.surface))
        if row.impulse:  # what is already known of it
            known = row.impulse
            u, v, w = u + known * gives[0], v + known * gives[1], w + known * gives[2]
            x, y = x + known * gives[3], y + known * gives[4]
    for _ in range(_ROUNDS):
        change = 0.0
        for row, (a, b, c, d, e), (ga, gb, gc, gd, ge), mass, goal in jobs:
            total = row.impulse + mass * (goal - (a * u + b * v + c * w + d * x + e * y))
            if row.leader is not None:
                most = row.friction * row.leader.impulse
                total = min(max(total, -most), most)
            elif row.limit is not None:
                total = min(max(total, -row.limit), row.limit)
            elif total < 0.0:
                total = 0.0
            given = total - row.impulse
            if given:
                row.impulse = total
                u, v, w = u + given * ga, v + given * gb, w + given * gc
                x, y = x + given * gd, y + given * ge
                if given > change or -given > change:
                    change = abs(given)
        if change < _SMALL:
            break
    return u, v, w, x, y


def _rounds_of_more(
    rows: Sequence[Row], wanted: Sequence[float], speeds: Speeds, ease: Speeds
) -> Speeds:
    """Do the same as `_rounds`, for any number of speeds."""
    now, jobs = list(speeds), []
    for row, goal in zip(rows, wanted, strict=True):
        gives = [weight * light for weight, light in zip(row.weights, ease, strict=True)]
        mass = 1.0 / _dot(row.weights, gives)
        jobs.append((row, gives, mass, goal - row.surface))
        now = [speed + row.impulse * give for speed, give in zip(now, gives, strict=True)]
    for _ in range(_ROUNDS):
        change = 0.0
        for row, gives, mass, goal in jobs:
            total = row.impulse + mass * (goal - _dot(row.weights, now))
            low, high = _ends(row)
            given = min(max(total, low), high) - row.impulse
            row.impulse += given
            now = [speed + given * give for speed, give in zip(now, gives, strict=True)]
            change = max(change, abs(given))
        if change < _SMALL:
            break
    return tuple(now)


def _dot(weights: Sequence[float], speeds: Sequence[float]) -> float:
    return float(sum(map(operator.mul, weights, speeds)))


def _ends(row: Row) -> tuple[float, float]:
    """Give the least and the largest impulse that a row may have."""
    if row.leader is not None:
        most = row.friction * row.leader.impulse
        return -most, most
    return (0.0, math.inf) if row.limit is None else (-row.limit, row.limit)
