"""Track: lines on the floor made of straights and arcs, and where a point is along them."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

__all__ = ["Piece", "Place", "Pose", "Track", "bend", "straight"]

Pose = tuple[float, float, float]
"""x and y in m, heading in rad."""
Leg = tuple[float, float]
"""Length in m and curvature in 1/m (to the left positive)."""
_DRAWN = 0.005
"""Distance in m between points of an arc that is drawn: off by 0.02 mm at a radius of 0.15 m."""


def straight(length: float) -> Leg:
    """Give a straight leg of some length in m."""
    return length, 0.0


def bend(radius: float, angle_deg: float) -> Leg:
    """Give a leg along an arc: radius in m, angle in degrees, to the left positive."""
    return radius * abs(math.radians(angle_deg)), math.copysign(1.0 / radius, angle_deg)


class Place(NamedTuple):
    """Where a point is, as a line sees it.

    Attributes:
        along: Length of line in m from its beginning to the nearest point on it.
        offset: Distance from the line in m, positive to the left of its direction.
    """

    along: float
    offset: float


@dataclass(frozen=True)
class Piece:
    """A straight or an arc of at most half a turn.

    Attributes:
        x, y, heading: Where it begins and which way it leads, in m and rad.
        length: In m.
        curvature: In 1/m, to the left positive; 0 for a straight.
    """

    x: float
    y: float
    heading: float
    length: float
    curvature: float

    def at(self, along: float) -> Pose:
        """Give the point, and the way the line leads there, after a length in m."""
        half = 0.5 * along * self.curvature
        chord = along * (math.sin(half) / half if half else 1.0)
        way = self.heading + half
        return (
            self.x + chord * math.cos(way), self.y + chord * math.sin(way), self.heading + 2 * half
        )  # fmt: skip

    @cached_property
    def _frame(self) -> tuple[float, ...]:
        """Cosine and sine of both ends' headings, the far end, radius and side of the centre."""
        end_x, end_y, way = self.at(self.length)
        radius = 1.0 / abs(self.curvature) if self.curvature else 0.0
        return (
            math.cos(self.heading), math.sin(self.heading), math.cos(way), math.sin(way),
            end_x, end_y, radius, math.copysign(1.0, self.curvature),
        )  # fmt: skip

    def nearest(self, x: float, y: float) -> Place:
        """Give the nearest place on the piece to a point (x, y) in m."""
        c, s, end_c, end_s, end_x, end_y, radius, turn = self._frame
        dx, dy = x - self.x, y - self.y
        ahead, left = dx * c + dy * s, dy * c - dx * s
        if not radius:
            if 0.0 <= ahead <= self.length:
                return Place(ahead, left)
        else:
            inward = radius - turn * left
            along = radius * math.atan2(ahead, inward)
            if 0.0 <= along <= self.length:
                return Place(along, turn * (radius - math.hypot(ahead, inward)))
        ex, ey = x - end_x, y - end_y
        if dx * dx + dy * dy <= ex * ex + ey * ey:
            return Place(0.0, math.copysign(math.hypot(dx, dy), left))
        return Place(self.length, math.copysign(math.hypot(ex, ey), ey * end_c - ex * end_s))


@dataclass(frozen=True)
class Track:
    """Pieces one after the other; each begins where, and leads as, the one before it ends.

    Attributes:
        pieces: The pieces in order.
        closed: Whether the end is the beginning.
    """

    pieces: tuple[Piece, ...]
    closed: bool = False

    @classmethod
    def lay(cls, start: Pose, legs: Iterable[Leg], closed: bool = False) -> Track:
        """Lay legs one after the other from a pose; legs of no length are left out."""
        pieces = []
        for length, curvature in legs:
            if length > 1e-9:
                piece = Piece(*start, length, curvature)
                start = piece.at(length)
                pieces.append(piece)
        return cls(tuple(pieces), closed)

    @cached_property
    def _begins(self) -> tuple[float, ...]:
        total, begins = 0.0, []
        for piece in self.pieces:
            begins.append(total)
            total += piece.length
        return (*begins, total)

    @property
    def length(self) -> float:
        """Its length in m."""
        return self._begins[-1]

    def at(self, along: float) -> Pose:
        """Give the point, and the way the line leads there, after a length in m.

        A closed track goes round and round; an open one ends at its ends.
        """
        piece, on = self._piece_at(along)
        return piece.at(on)

    def way(self, along: float) -> float:
        """Give the way the line leads after a length in m, in rad."""
        piece, on = self._piece_at(along)
        return piece.heading + on * piece.curvature

    def _piece_at(self, along: float) -> tuple[Piece, float]:
        """Give the piece that lies after a length in m, and what of the length lies on it."""
        along = along % self.length if self.closed else min(max(along, 0.0), self.length)
        k = max(bisect.bisect_left(self._begins, along) - 1, 0)
        return self.pieces[k], along - self._begins[k]

    def nearest(self, x: float, y: float) -> Place:
        """Give the nearest place on the track to a point (x, y) in m, exact on arcs too."""
        best = Place(0.0, math.inf)
        for piece, begin in zip(self.pieces, self._begins, strict=False):
            along, offset = piece.nearest(x, y)
            if abs(offset) < abs(best.offset):
                best = Place(begin + along, offset)
        return best

    def places(self, points: Iterable[tuple[float, float]]) -> list[Place]:
        """Give the nearest place for each of some points (m): quick if each is near the one before.

        Who has gone a millimetre is nearer to no piece by more than that, so most need no look.
        """
        found: list[Place] = []
        gone, last, best = 0.0, None, 0
        clear = [0.0] * len(self.pieces)  # how far one would have to go to come to each
        others = 0.0  # and to any but the nearest
        for x, y in points:
            gone += math.dist(last, (x, y)) if last else 0.0
            last = x, y
            along, offset = self.pieces[best].nearest(x, y)
            if others - gone <= abs(offset) + 1e-9:
                reach, near = abs(offset) + 1e-9, math.inf
                for k, piece in enumerate(self.pieces):
                    if clear[k] - gone > reach:
                        continue
                    there = piece.nearest(x, y)
                    clear[k] = gone + abs(there.offset)
                    if abs(there.offset) < near:
                        near, best, (along, offset) = abs(there.offset), k, there
                others = min(clear[:best] + clear[best + 1 :], default=math.inf)
            found.append(Place(self._begins[best] + along, offset))
        return found

    def progress(self, points: Iterable[tuple[float, float]]) -> list[float]:
        """Give how far along the track each of some points is, in m, not wrapped.

        On a closed track two rounds count twice and going back counts back;
        one point to the next may not be half a round.
        """
        covered: list[float] = []
        for along, _ in self.places(points):
            if covered and self.closed:
                along = covered[-1] + math.remainder(along - covered[-1], self.length)
            covered.append(along)
        return covered

    def points(self) -> tuple[tuple[float, float], ...]:
        """Give points to draw it through: the ends of each piece, and more on arcs."""
        dots = [self.pieces[0].at(0.0)[:2]]
        for piece in self.pieces:
            count = math.ceil(piece.length / _DRAWN) if piece.curvature else 1
            dots += [piece.at(piece.length * k / count)[:2] for k in range(1, count + 1)]
        if self.closed:
            dots[-1] = dots[0]
        return tuple(dots)

    def moved(self, dx: float, dy: float, flip_at: float | None = None) -> Track:
        """Give the track shifted by (dx, dy) m, or first mirrored in the line y = flip_at."""
        sign = 1.0 if flip_at is None else -1.0
        base = 0.0 if flip_at is None else 2.0 * flip_at
        pieces = tuple(
            Piece(p.x + dx, base + sign * p.y + dy, sign * p.heading, p.length, sign * p.curvature)
            for p in self.pieces
        )
        return Track(pieces, self.closed)

    def bounds(self) -> tuple[float, float, float, float]:
        """Give the least x, least y, largest x and largest y in m, to 0.05 mm."""
        return _bounds(self.points())


def _bounds(points: Sequence[tuple[float, float]]) -> tuple[float, float, float, float]:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
