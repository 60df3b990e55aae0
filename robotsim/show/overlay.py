"""Overlay: the targets of a task, dashed and hatched over the top view."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np
from matplotlib.patches import Circle, Polygon, Rectangle

from .colours import INK, OKABE_ITO, PAPER, readable
from .labels import Plan
from .style import SMALL
from .targets import ArcTarget, LineTarget, PointTarget, Target, points_along

__all__ = ["draw_targets", "label_targets", "target_points"]

_COLOUR = OKABE_ITO["green"]
_TEXT = readable(_COLOUR)
_BAND: dict[str, Any] = {
    "facecolor": "#009E7314", "edgecolor": "#009E7366", "hatch": "////", "linewidth": 0.0,
    "zorder": 1.6, "gid": "tolerance",
}  # fmt: skip
_EDGE: dict[str, Any] = {
    "color": _COLOUR, "linewidth": 1.2, "linestyle": (0, (5, 3)), "zorder": 1.7, "gid": "target",
}  # fmt: skip


def target_points(target: Target) -> np.ndarray[Any, Any]:
    """Give points along a target's line or edge, (n, 2) in m."""
    return np.array(points_along(target))


def draw_targets(plan: Plan, targets: Iterable[Target]) -> None:
    """Draw each target with its band of tolerance and its label."""
    for target in targets:
        points = target_points(target)
        band = target.tolerance
        if isinstance(target, LineTarget):
            _line(plan, target, points, band)
        elif isinstance(target, ArcTarget):
            _arc(plan, target, points, band)
        elif isinstance(target, PointTarget):
            if band:
                plan.axes.add_artist(Circle((target.x, target.y), band, **_BAND))
                plan.axes.add_artist(Circle((target.x, target.y), band, fill=False, **_EDGE))
            plan.axes.plot([target.x], [target.y], "+", color=_COLOUR, markersize=9,
                           markeredgewidth=1.4, zorder=1.8, gid="target")  # fmt: skip
        else:
            corner, size = (target.x, target.y), (target.width, target.height)
            outer = (corner[0] - band, corner[1] - band)
            plan.axes.add_artist(
                Rectangle(outer, size[0] + 2 * band, size[1] + 2 * band, **_BAND)
            )
            plan.axes.add_artist(Rectangle(corner, *size, fill=False, **_EDGE))


def label_targets(plan: Plan, targets: Iterable[Target]) -> None:
    """Write each target's label in a free place beside it."""
    around = [math.radians(a) for a in (90, -90, 45, -45, 135, -135, 0, 180)]
    for target in targets:
        points = target_points(target)
        reach = target.tolerance * plan.scale
        for share in (0.5, 0.7, 0.3, 0.85, 0.15, 1.0, 0.0):
            x, y = points[round(share * (len(points) - 1))]
            sides = around
            if isinstance(target, ArcTarget):  # towards the centre first, where the arc is not
                inward = math.atan2(target.centre[1] - y, target.centre[0] - x)
                sides = [inward, inward + math.pi, *around]
            box = plan.find(x, y, target.label, sides, reach=(reach + 0.04, reach + 0.12))
            if box is not None:
                plan.write(box, target.label, size=SMALL, color=_TEXT, gid="target label")
                break
        else:  # nowhere free: on a white ground over the target's middle
            x, y = points[len(points) // 2]
            plan.axes.text(x, y, target.label, ha="center", va="center", fontsize=SMALL,
                           color=INK, zorder=6, gid="target label",
                           bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1})  # fmt: skip


def _line(plan: Plan, target: LineTarget, points: Any, band: float) -> None:
    (x0, y0), (x1, y1) = target.start, target.end
    length = math.dist(target.start, target.end)
    if band and length:
        nx, ny = -(y1 - y0) / length * band, (x1 - x0) / length * band
        corners = [(x0 + nx, y0 + ny), (x1 + nx, y1 + ny), (x1 - nx, y1 - ny), (x0 - nx, y0 - ny)]
        plan.axes.add_artist(Polygon(corners, closed=True, **_BAND))
    plan.axes.plot(*points[[0, -1]].T, **_EDGE)


def _arc(plan: Plan, target: ArcTarget, points: Any, band: float) -> None:
    if band:
        middle = np.array(target.centre)
        outer = middle + (points - middle) * (1 + band / target.radius)
        inner = middle + (points - middle) * (1 - band / target.radius)
        plan.axes.add_artist(Polygon(np.vstack([outer, inner[::-1]]), closed=True, **_BAND))
    plan.axes.plot(*points.T, **_EDGE)
