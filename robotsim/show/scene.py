"""Scene: the table and the tug as shapes on an axes whose unit is the metre."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, Protocol

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.transforms import Affine2D, Transform

from .colours import FLOOR, INK, NIGHT, PAPER, QUIET, RGB, contrast, lamp_hex

__all__ = [
    "BALL",
    "HULL",
    "LAMP_PLACES",
    "Table",
    "draw_float",
    "draw_ghost",
    "draw_table",
    "draw_tug",
    "print_points",
]

HULL = 0.058
"""Radius of the round hull, m (design: 116 mm across)."""
TRACK, WHEEL, TYRE = 0.092, 0.044, 0.010
"""Distance of the wheels, their diameter and their width, m."""
BALL = 0.020
"""Radius of the float, m (World Squash: a ball is 40 mm across)."""
ARM_PIVOT, PADDLE = 0.058, 0.030
"""Where the arm turns, ahead of the axle, and its length, m."""
LAMP_PLACES = ((0.030, 0.026), (0.030, -0.026), (0.010, 0.0), (-0.044, 0.0), (-0.018, 0.0))
"""Where the five lamps sit, (ahead of the axle, to port) in m, in the order of the chain."""
_LAMP = 0.0062
_DECK = "#C9D1D9"


class Table(Protocol):
    """What is drawn of a table: a floor from (0, 0) to (width, height) in m, and what is on it.

    Read only where they are there: `prints`, strokes with `points` and a `width`,
    all in m; `dock`, None or the middle of its gate `x`, `y`, the way in `heading`, the
    gate's `width` and the `depth` behind it; `walls`.
    """

    @property
    def name(self) -> str:
        """Its name."""
        ...

    @property
    def width(self) -> float:
        """Extent along x, m."""
        ...

    @property
    def height(self) -> float:
        """Extent along y, m."""
        ...


def draw_table(axes: Axes, table: Table) -> None:
    """Draw the floor, its print, the dock and the walls of a table."""
    width, height = table.width, table.height
    axes.add_artist(
        Rectangle((0, 0), width, height, facecolor=FLOOR, edgecolor="none", zorder=0, gid="floor")
    )
    for shape in getattr(table, "prints", ()) or ():
        _draw_print(axes, shape)
    if (dock := getattr(table, "dock", None)) is not None:
        _draw_dock(axes, dock)
    wall = 0.014 * max(width, height)
    walls = bool(getattr(table, "walls", False))
    edge = Rectangle(
        (-wall / 2, -wall / 2) if walls else (0, 0),
        width + wall * walls, height + wall * walls,
        fill=False, edgecolor="#8A8F98" if walls else QUIET,
        linestyle="solid" if walls else (0, (4, 3)), zorder=1.5,
        linewidth=72 * wall * _inches_per_metre(axes) if walls else 0.8,
        joinstyle="miter", gid="walls" if walls else "edge",
    )  # fmt: skip
    axes.add_artist(edge)


def _inches_per_metre(axes: Axes) -> float:
    box = axes.get_position()
    low, high = axes.get_xlim()
    figure = axes.get_figure(root=True)
    return box.width * (figure.get_figwidth() if figure else 1.0) / (high - low)


def _draw_print(axes: Axes, shape: Any) -> None:
    """Draw a painted stroke: the darker its shade, the darker the line."""
    xs, ys = zip(*shape.points, strict=True)
    width = 72 * shape.width * _inches_per_metre(axes)
    level = 0.25 + 0.6 * min(max(float(getattr(shape, "shade", 0.06)), 0.0), 1.0)
    closed = len(xs) > 2 and math.dist((xs[0], ys[0]), (xs[-1], ys[-1])) < 1e-9
    axes.plot(xs, ys, color=(level, level, level + 0.03), linewidth=width, zorder=0.5,
              solid_capstyle="projecting" if closed else "butt", solid_joinstyle="round",
              gid="print")  # fmt: skip


def print_points(table: Table) -> list[Any]:
    """Give points along the middle of each painted stroke, densely set, (n, 2) in m each."""
    strokes = []
    for shape in getattr(table, "prints", ()) or ():
        corners = np.asarray(shape.points, dtype=float)
        legs = [np.linspace(a, b, 2 + int(math.dist(a, b) / 0.006))
                for a, b in zip(corners, corners[1:], strict=False)]  # fmt: skip
        strokes += legs
    return strokes


def _draw_dock(axes: Axes, dock: Any) -> None:
    """Draw the dock: hatched water behind a gate, and walls on its three other sides."""
    place = Affine2D().rotate(dock.heading).translate(dock.x, dock.y) + axes.transData
    half, depth = dock.width / 2, dock.depth
    axes.add_artist(
        Rectangle((0, -half), depth, 2 * half, facecolor="#E6E9ED", hatch="....",
                  edgecolor="#B4BAC2", linewidth=0.0, transform=place, zorder=0.6, gid="dock")
    )  # fmt: skip
    axes.plot([0, depth, depth, 0], [-half, -half, half, half], color="#6B717A", linewidth=2.4,
              solid_joinstyle="miter", transform=place, zorder=0.8, gid="dock walls")  # fmt: skip
    axes.plot([0, 0], [-half, half], color=QUIET, linewidth=0.9, linestyle=(0, (2, 2)),
              transform=place, zorder=0.8, gid="gate")  # fmt: skip


def draw_ghost(axes: Axes, pose: tuple[float, float, float], *, ray: bool = False) -> None:
    """Draw the outline of a tug that stood here, dashed; `ray` shows its heading outside too."""
    x, y, _ = pose
    axes.add_artist(
        Circle((x, y), HULL, facecolor=PAPER, alpha=0.75, edgecolor="none", zorder=2.0)
    )
    axes.add_artist(
        Circle((x, y), HULL, fill=False, edgecolor=QUIET, linewidth=0.9,
               linestyle=(0, (3, 2)), zorder=2.1, gid="start")
    )  # fmt: skip
    place = _frame(pose) + axes.transData
    axes.add_artist(Polygon(_BOW, closed=True, facecolor="none", edgecolor=QUIET, linewidth=0.8,
                           transform=place, zorder=2.2, gid="start bow"))  # fmt: skip
    if ray:
        axes.plot([HULL * 1.15, HULL * 1.9], [0, 0], color=QUIET, linewidth=1.0,
                  linestyle=(0, (3, 2)), transform=place, zorder=2.2, gid="start ray")  # fmt: skip


_BOW = [(HULL * 0.97, 0.0), (HULL * 0.66, 0.013), (HULL * 0.66, -0.013)]


def _frame(pose: tuple[float, float, float]) -> Affine2D:
    return Affine2D().rotate(pose[2]).translate(pose[0], pose[1])


def draw_tug(
    axes: Axes,
    pose: tuple[float, float, float],
    lamps: Iterable[RGB] = (),
    arm: float | None = None,
    *,
    line_width: float = 1.0,
    faint: bool = False,
    zorder: float = 4.0,
) -> None:
    """Draw the tug to scale: hull, wheels, bow mark, arm, and its lamps as they glow.

    Args:
        axes: Where to draw; its unit is the metre.
        pose: x, y in m and heading in rad.
        lamps: The five lamps' colours.
        arm: The arm's angle in rad, to port positive; None for a tug without one.
        line_width: Width of the outlines in points.
        faint: Leave the lamps out (for a tug that is only a mark).
        zorder: Above what it is drawn.
    """
    place = _frame(pose) + axes.transData
    if arm is not None:
        tip = (ARM_PIVOT + PADDLE * math.cos(arm), PADDLE * math.sin(arm))
        axes.plot([ARM_PIVOT, tip[0]], [0, tip[1]], color=INK, linewidth=2.6 * line_width,
                  transform=place, zorder=zorder, gid="arm")  # fmt: skip
    axes.add_artist(Circle((0, 0), HULL, facecolor=_DECK, edgecolor=INK, linewidth=line_width,
                          transform=place, zorder=zorder + 0.1, gid="hull"))  # fmt: skip
    for side in (1, -1):
        axes.add_artist(
            Rectangle((-WHEEL / 2, side * TRACK / 2 - TYRE / 2), WHEEL, TYRE, facecolor=INK,
                      edgecolor="none", transform=place, zorder=zorder + 0.2, gid="wheel")
        )  # fmt: skip
    axes.add_artist(Polygon(_BOW, closed=True, facecolor=INK, edgecolor="none",
                           transform=place, zorder=zorder + 0.2, gid="bow"))  # fmt: skip
    if not faint:
        _draw_lamps(axes, lamps, place, line_width, zorder)


def _draw_lamps(
    axes: Axes, lamps: Iterable[RGB], place: Transform, line_width: float, zorder: float
) -> None:
    """Draw each lamp in its place as it glows, with a halo that is stronger the brighter it is."""
    for (ahead, port), colour in zip(LAMP_PLACES, lamps, strict=False):
        glow = lamp_hex(colour)
        ring = INK if contrast(glow, INK) > 2 else PAPER
        axes.add_artist(Circle((ahead, port), _LAMP, facecolor=glow, edgecolor=ring,
                              linewidth=0.7 * line_width, transform=place,
                              zorder=zorder + 0.4, gid="lamp"))  # fmt: skip
        if glow != NIGHT:
            axes.add_artist(Circle((ahead, port), 2.1 * _LAMP, facecolor=glow, edgecolor="none",
                                  alpha=0.12 + 0.3 * max(colour) / 255, transform=place,
                                  zorder=zorder + 0.3, gid="halo"))  # fmt: skip


def draw_float(axes: Axes, begin: tuple[float, float], end: tuple[float, float]) -> None:
    """Draw the float where it lay (dashed) and where it ended."""
    if math.dist(begin, end) > 0.004:
        axes.add_artist(Circle(begin, BALL, fill=False, edgecolor=QUIET, linewidth=0.8,
                              linestyle=(0, (3, 2)), zorder=2.1, gid="float start"))  # fmt: skip
    axes.add_artist(Circle(end, BALL, facecolor="#3D434B", edgecolor=INK, linewidth=0.8,
                          zorder=3.6, gid="float"))  # fmt: skip
