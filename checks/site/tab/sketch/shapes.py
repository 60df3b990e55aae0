"""Shapes: the patches that are put on axes, as SVG once the axes' scale is known."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from .marks import Point, area

__all__ = ["Arc", "Circle", "Rectangle", "Shape", "Wedge"]

Place = Callable[[Point], Point]


class Shape:
    """A patch.

    Args:
        style: How it looks: facecolor, edgecolor, color, fill, linewidth, linestyle, alpha, gid.
    """

    def __init__(self, **style: Any) -> None:
        colour = style.pop("color", None)
        face, edge = style.pop("facecolor", colour), style.pop("edgecolor", colour)
        if not style.pop("fill", True):
            face = "none"
        self.zorder = style.pop("zorder", 1.0)
        self._style = {"facecolor": face or "none", "edgecolor": edge or "none", **style}

    def corners(self) -> list[Point]:
        """Give its corners, or so many points that it looks round."""
        raise NotImplementedError

    def drawn(self, place: Place, clip: str | None) -> str:
        """Give its SVG."""
        return area([place(point) for point in self.corners()], clip=clip, **self._style)


def _round(centre: Point, rx: float, ry: float, begin: float, end: float) -> list[Point]:
    """Give points on an ellipse, from one angle in degrees to another."""
    many = max(8, round(abs(end - begin) / 4))
    angles = [math.radians(begin + (end - begin) * k / many) for k in range(many + 1)]
    return [(centre[0] + rx * math.cos(a), centre[1] + ry * math.sin(a)) for a in angles]


class Rectangle(Shape):
    """A rectangle: its lower left corner, width and height."""

    def __init__(self, xy: Point, width: float, height: float, **style: Any) -> None:
        super().__init__(**style)
        (x, y), self._far = xy, (xy[0] + width, xy[1] + height)
        self._near = (x, y)

    def corners(self) -> list[Point]:
        """Give its corners."""
        (a, b), (c, d) = self._near, self._far
        return [(a, b), (c, b), (c, d), (a, d)]


class Circle(Shape):
    """A circle: its centre and radius."""

    def __init__(self, xy: Point, radius: float, **style: Any) -> None:
        super().__init__(**style)
        self._xy, self._radius = xy, radius

    def corners(self) -> list[Point]:
        """Give points on it."""
        return _round(self._xy, self._radius, self._radius, 0, 360)


class Wedge(Shape):
    """A piece of a disc: its centre, radius, and angles in degrees."""

    def __init__(
        self, center: Point, r: float, theta1: float, theta2: float, **style: Any
    ) -> None:  # fmt: skip
        super().__init__(**style)
        self._centre, self._radius, self._angles = center, r, (theta1, theta2)

    def corners(self) -> list[Point]:
        """Give its centre and points on its arc."""
        return [self._centre, *_round(self._centre, self._radius, self._radius, *self._angles)]


class Arc(Shape):
    """A part of an ellipse: its centre, width, height, and angles in degrees."""

    def __init__(
        self, xy: Point, width: float, height: float, *, theta1: float, theta2: float, **style: Any
    ) -> None:
        super().__init__(fill=False, **style)
        self._points = _round(xy, width / 2, height / 2, theta1, theta2)

    def corners(self) -> list[Point]:
        """Give its points, there and back: it is not closed."""
        return [*self._points, *self._points[-2::-1]]
