"""Solids: the walls of pen and dock, and how far a point is from them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from .table import Dock, Table

__all__ = ["WALL_HALF", "Fence", "Nearest", "Walls", "off_rod"]

WALL_HALF = 0.003
"""Half the thickness of a dock's wall in m (invented)."""

Fence = tuple[float, float, float, float]
"""The middle line of a straight wall: x, y of one end, x, y of the other, in m."""


class Nearest(NamedTuple):
    """The nearest point of something to a point: distance, direction from it, place (m)."""

    distance: float
    nx: float
    ny: float
    x: float
    y: float


def off_rod(x: float, y: float, rod: Fence) -> Nearest:
    """Give the nearest point of a straight rod's middle line to (x, y)."""
    ax, ay, bx, by = rod
    dx, dy = bx - ax, by - ay
    share = ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    px, py = ax + share * dx, ay + share * dy
    distance = math.hypot(x - px, y - py)
    if distance < 1e-12:  # on the middle line: out to its left
        length = math.hypot(dx, dy)
        return Nearest(0.0, -dy / length, dx / length, px, py)
    return Nearest(distance, (x - px) / distance, (y - py) / distance, px, py)


class Walls:
    """The pen's four walls, whose inner faces are the table's edges, and the dock's three.

    Args:
        table: The table.
    """

    def __init__(self, table: Table) -> None:
        self._size = (table.width, table.height) if table.walls else None
        self._fences = _fences(table.dock) if table.dock else ()
        xs = [x for fence in self._fences for x in (fence[0], fence[2])]
        ys = [y for fence in self._fences for y in (fence[1], fence[3])]
        self._box = (min(xs), min(ys), max(xs), max(ys)) if xs else None

    def near(self, x: float, y: float, reach: float) -> bool:
        """Tell whether a wall's face is within a reach in m of a point."""
        if self._size:
            width, height = self._size
            if not (reach < x < width - reach and reach < y < height - reach):
                return True
        return self._boxed(x, y, reach) and any(True for _ in self.within(x, y, reach))

    def within(self, x: float, y: float, reach: float) -> Iterator[tuple[int, float, float, float]]:
        """Go through the walls within reach: number, distance of its face, way out of it."""
        if self._size:
            width, height = self._size
            if x < reach:
                yield 0, x, 1.0, 0.0
            if width - x < reach:
                yield 1, width - x, -1.0, 0.0
            if y < reach:
                yield 2, y, 0.0, 1.0
            if height - y < reach:
                yield 3, height - y, 0.0, -1.0
        if self._boxed(x, y, reach):
            for number, fence in enumerate(self._fences, 4):
                distance, nx, ny, _, _ = off_rod(x, y, fence)
                if distance - WALL_HALF < reach:
                    yield number, distance - WALL_HALF, nx, ny

    def _boxed(self, x: float, y: float, reach: float) -> bool:
        if self._box is None:
            return False
        low_x, low_y, high_x, high_y = self._box
        reach += WALL_HALF
        return low_x - reach < x < high_x + reach and low_y - reach < y < high_y + reach


def _fences(dock: Dock) -> tuple[Fence, ...]:
    """Give the dock's walls: port side, back, starboard side."""
    c, s = math.cos(dock.heading), math.sin(dock.heading)
    half, deep = dock.width / 2 + WALL_HALF, dock.depth + WALL_HALF
    corners = [
        (dock.x + inwards * c - aside * s, dock.y + inwards * s + aside * c)
        for inwards, aside in ((0.0, half), (deep, half), (deep, -half), (0.0, -half))
    ]
    return tuple((*a, *b) for a, b in zip(corners, corners[1:], strict=False))
