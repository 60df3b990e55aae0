"""Targets: simple shapes with which a task says where the tug should have gone.

Plain data that imports no drawing library, so a check can make them.  Lengths
in m, angles in rad.  `tolerance` is how far off is still right: half the width
of the band that is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import KitError

__all__ = ["ArcTarget", "BoxTarget", "LineTarget", "PointTarget", "Target", "points_along"]

Point = tuple[float, float]


@dataclass(frozen=True)
class LineTarget:
    """A straight line to drive along, from `start` to `end` (x, y)."""

    start: tuple[float, float]
    end: tuple[float, float]
    label: str = "target"
    tolerance: float = 0.0


@dataclass(frozen=True)
class ArcTarget:
    """Part of a circle to drive along, from angle `begin` counter-clockwise to `finish`."""

    centre: tuple[float, float]
    radius: float
    begin: float = 0.0
    finish: float = 6.283185307179586
    label: str = "target"
    tolerance: float = 0.0


@dataclass(frozen=True)
class PointTarget:
    """A point to end on; the tolerance is the radius of a circle about it."""

    x: float
    y: float
    label: str = "target"
    tolerance: float = 0.0


@dataclass(frozen=True)
class BoxTarget:
    """A rectangle to end in, by its lower left corner and its size."""

    x: float
    y: float
    width: float
    height: float
    label: str = "target"
    tolerance: float = 0.0


Target = LineTarget | ArcTarget | PointTarget | BoxTarget


def points_along(target: Target) -> list[Point]:
    """Give points along a target's line or edge, in m.

    Raises:
        KitError: It is no target.
    """
    if isinstance(target, LineTarget):
        return _even(target.start, target.end, 60)
    if isinstance(target, ArcTarget):
        (x, y), r, a, b = target.centre, target.radius, target.begin, target.finish
        angles = (a + (b - a) * k / 119 for k in range(120))
        return [(x + r * math.cos(angle), y + r * math.sin(angle)) for angle in angles]
    if isinstance(target, PointTarget):
        return [(target.x, target.y)]
    if isinstance(target, BoxTarget):
        x, y, w, h = target.x, target.y, target.width, target.height
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
        sides = zip(corners, corners[1:], strict=False)
        return [point for a, b in sides for point in _even(a, b, 20)]
    raise KitError(
        f"A {type(target).__name__} is no target.",
        hint="use LineTarget, ArcTarget, PointTarget or BoxTarget of robotsim.show.",
    )


def _even(start: Sequence[float], end: Sequence[float], many: int) -> list[Point]:
    """Give points from one place to another, evenly apart."""
    steps = [k / (many - 1) for k in range(many)]
    (x, y), (u, v) = start, end
    return [(x + (u - x) * step, y + (v - y) * step) for step in steps]
