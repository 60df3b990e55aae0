"""Labels: find a free place on a plan for each label, so that none covers anything."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from .style import SMALL, drawable, text_inches

__all__ = ["Plan"]

Box = tuple[float, float, float, float]


class Plan:
    """A plan drawn to scale and what is already taken of its area.

    Places are in inches from the lower left corner of the axes.

    Args:
        axes: The axes, with its limits set and an equal unit on both.
    """

    def __init__(self, axes: Axes) -> None:
        self.axes = axes
        figure = axes.get_figure(root=True)
        assert figure is not None
        box = axes.get_position()
        self.width = box.width * figure.get_figwidth()
        self.height = box.height * figure.get_figheight()
        (self.x0, x1), (self.y0, _) = axes.get_xlim(), axes.get_ylim()
        self.scale = self.width / (x1 - self.x0)
        self.room: Box = (0.01, 0.01, self.width - 0.01, self.height - 0.01)
        self.taken: list[Box] = []
        self.lines = np.empty((0, 2))

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Give the place of a point in m."""
        return (x - self.x0) * self.scale, (y - self.y0) * self.scale

    def block(self, x: float, y: float, radius: float) -> None:
        """Keep labels off a disc (all in m)."""
        (u, v), r = self.at(x, y), radius * self.scale
        self.taken.append((u - r, v - r, u + r, v + r))

    def keep_inside(self, width: float, height: float) -> None:
        """Keep labels on what is seen of a floor from (0, 0) to (width, height) in m."""
        (a, b), (c, d) = self.at(0.0, 0.0), self.at(width, height)
        left, low, right, high = self.room
        self.room = (
            max(left, a + 0.06), max(low, b + 0.06), min(right, c - 0.06), min(high, d - 0.06),
        )  # fmt: skip

    def keep_off(self, points: Any) -> None:
        """Keep labels off a line, given as an (n, 2) array of points in m, densely set."""
        if len(points):
            places = (np.asarray(points, dtype=float) - (self.x0, self.y0)) * self.scale
            self.lines = np.vstack([self.lines, places])

    def free(self, box: Box, *, pad: float = 0.02, lines: bool = True) -> bool:
        """Say whether a box is inside the plan and covers nothing; no line either, if `lines`."""
        left, low, right, high = box
        a, b, c, d = self.room
        if left < a or low < b or right > c or high > d:
            return False
        for a, b, c, d in self.taken:
            if left < c + pad and right > a - pad and low < d + pad and high > b - pad:
                return False
        if not (lines and len(self.lines)):
            return True
        u, v = self.lines[:, 0], self.lines[:, 1]
        return not bool(np.any((u > left) & (u < right) & (v > low) & (v < high)))

    def find(
        self, x: float, y: float, text: str, directions: Iterable[float], *,
        reach: Sequence[float] = (0.05,), size: float = SMALL,
    ) -> Box | None:
        """Find a free box for a text near a point.

        Args:
            x: The point, m.
            y: The point, m.
            text: What is to be written.
            directions: Where the label may stand as seen from the point, rad, best first.
            reach: Gaps in inches to try between the point and the label.
            size: Size of the text in points.
        """  # fmt: skip
        return self.find_room(x, y, *self.room_of(text, size), directions, reach=reach)

    @staticmethod
    def room_of(text: str, size: float = SMALL) -> tuple[float, float]:
        """Give the width and height of a text's box in inches."""
        return text_inches(text, size) + 0.04, size * 1.24 / 72

    def find_room(
        self, x: float, y: float, width: float, height: float, directions: Iterable[float], *,
        reach: Sequence[float], lines: bool = True,
    ) -> Box | None:
        """Find a free box of a size in inches near a point, as `find` does for a text.

        Without `lines` it may lie over lines.
        """  # fmt: skip
        u, v = self.at(x, y)
        half_w, half_h = width / 2, height / 2
        directions = list(directions)
        for gap in reach:
            for direction in directions:
                cos, sin = math.cos(direction), math.sin(direction)
                # distance from the box's middle to its edge in this direction
                out = min(half_w / max(abs(cos), 1e-9), half_h / max(abs(sin), 1e-9))
                mid_u, mid_v = u + (gap + out) * cos, v + (gap + out) * sin
                box = (mid_u - half_w, mid_v - half_h, mid_u + half_w, mid_v + half_h)
                if self.free(box, lines=lines):
                    return box
        return None

    def write(self, box: Box, text: str, *, size: float = SMALL, **style: Any) -> None:
        """Write a text in the box that `find` gave, and take the box."""
        self.taken.append(box)
        x = self.x0 + (box[0] + box[2]) / 2 / self.scale
        y = self.y0 + (box[1] + box[3]) / 2 / self.scale
        self.axes.text(x, y, drawable(text), ha="center", va="center_baseline", fontsize=size,
                       **{"zorder": 6, **style})  # fmt: skip
