"""Targets: simple shapes with which a task says where the tug should have gone.

Plain data that imports no drawing library, so a check can make them.  Lengths
in m, angles in rad.  `tolerance` is how far off is still right: half the width
of the band that is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["ArcTarget", "BoxTarget", "LineTarget", "PointTarget", "Target"]


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
