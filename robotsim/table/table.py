"""Table: what the tug drives on, as data."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from ..errors import KitError
from .floor import Floor
from .track import Pose, Track

__all__ = ["Dock", "Pose", "Print", "Table", "along_line", "distance_to_line", "stop_bars"]


@dataclass(frozen=True)
class Print:
    """One painted stroke on the floor: a line of some width through points.

    Attributes:
        points: The middle of the stroke, (x, y) in m, closed if the first is the last.
        width: Its width in m.
        shade: Share of infrared light that it returns, 0 to 1.
        name: What it is ("quay line", "stop bar").
    """

    points: tuple[tuple[float, float], ...]
    width: float = 0.018
    shade: float = 0.06
    name: str = "line"


@dataclass(frozen=True)
class Dock:
    """A basin for the float, open on one side.

    Attributes:
        x, y: The middle of the gate, in m.
        heading: The way into the dock, in rad.
        width: Width of the gate in m.
        depth: From the gate to the back wall in m.
    """

    x: float
    y: float
    heading: float
    width: float
    depth: float


@dataclass(frozen=True)
class Table:
    """A table: its size, what is painted on it and what stands on it.

    Attributes:
        name: Its name.
        width, height: Extent in m; x runs from 0 to width, y from 0 to height.
        start: Where the tug is set down.
        walls: Whether a wall stands round the edge.
        prints: What is painted on the floor, for drawing and measuring.
        floor: The share of infrared light that the floor returns at (x, y).
        dock: The dock, if there is one.
        float_start: Where the float lies at first, if there is one.
        line: The line to follow, if there is one: its middle, exact on arcs.
        lots: What its seed has drawn by lot: which way round things are, and which ink.
    """

    name: str
    width: float = 1.2
    height: float = 0.8
    start: Pose = (0.25, 0.4, 0.0)
    walls: bool = True
    prints: tuple[Print, ...] = ()
    floor: Floor = field(default_factory=Floor, compare=False)
    dock: Dock | None = None
    float_start: tuple[float, float] | None = None
    line: Track | None = None
    lots: tuple[bool, ...] = ()

    def with_float_off(self, x: float, y: float) -> Table:
        """Give the table with its float lying so far beside its place, in m; if there is one."""
        if self.float_start is None:
            return self
        return replace(self, float_start=(self.float_start[0] + x, self.float_start[1] + y))


def distance_to_line(table: Table, x: float, y: float) -> float:
    """Give a point's distance from the table's line in m, positive to the left of its direction.

    Raises:
        KitError: The table has no line.
    """
    return _line(table).nearest(x, y).offset


def along_line(table: Table, x: float, y: float) -> float:
    """Give how far along the table's line a point is, in m from the line's beginning.

    Raises:
        KitError: The table has no line.
    """
    return _line(table).nearest(x, y).along


def stop_bars(table: Table) -> tuple[float, ...]:
    """Give where along the line its stop bars cross it: m from the beginning, in order.

    Raises:
        KitError: The table has no line.
    """
    middles = (
        (0.5 * (bar.points[0][0] + bar.points[-1][0]), 0.5 * (bar.points[0][1] + bar.points[-1][1]))
        for bar in table.prints
        if bar.name == "stop bar"
    )
    places = (_line(table).nearest(*middle) for middle in middles)
    return tuple(sorted(along for along, offset in places if abs(offset) < 1e-6))


def _line(table: Table) -> Track:
    if table.line is None:
        raise KitError(
            f"The table {table.name!r} has no line to follow.",
            hint="take 'quay', 'channel' or 'harbour'.",
        )
    return table.line
