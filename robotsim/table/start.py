"""Start: where a tug may be set down, wherever somebody says so."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ..errors import KitError
from .table import Pose, Table

__all__ = ["FROM_EDGE", "ask_start", "off_table"]

FROM_EDGE = 0.06
"""So far from the edge a tug must stand, in m: its hull is 58 mm in radius."""
_MOST_TURNED = 1.5 * math.tau
"""A heading beyond that, a turn and a half either way, was meant in degrees, if only 10 of them.  A
line tells its own way as far as it has turned, and who stands across it a quarter more: 1.25."""
_ROUNDED = 2e-6
"""A recording keeps its start in whole millionths of a metre."""


def off_table(place: Sequence[float], size: Sequence[float], margin: float) -> str:
    """Say that a place (m) is off a table of that size, or too near its edge; "" where it is not.

    Args:
        place: x and y.
        size: Width and height.
        margin: How far from the edge it has to be.
    """
    low, slack = margin - _ROUNDED, _ROUNDED - margin
    if all(low <= n <= edge + slack for n, edge in zip(place, size, strict=True)):
        return ""
    return f"on the table: ({place[0]:.2f}, {place[1]:.2f}) m is off it or too near its edge"


def ask_start(start: Any, table: Table) -> Pose | None:
    """Give a start as it was asked for: x, y in m and the heading in rad; None for None.

    Raises:
        KitError: It is none, a tug has no room there, or its heading is in degrees.
    """
    if start is None:
        return None
    if not _is_pose(start):
        raise KitError(
            f"A start is three numbers, x and y in m and the heading in rad, not {start!r}.",
            hint="leave it out to start at the table's own place.",
        )
    x, y, heading = (float(n) for n in start)
    size = table.width, table.height
    if wrong := off_table((x, y), size, FROM_EDGE):
        far_x, far_y = (f"{edge - FROM_EDGE:.2f}" for edge in size)
        meant = x / 100, y / 100
        metres = f"start=({meant[0]:g}, {meant[1]:g}, {start[2]:g}), in metres. "
        raise KitError(
            f"A start is {wrong}.", where=f"start={start!r} on the table {table.name}",
            hint=("" if off_table(meant, size, FROM_EDGE) else f"were those cm? Write {metres}")
            + f"x may go from {FROM_EDGE:g} to {far_x} m, y from {FROM_EDGE:g} to {far_y} m.",
        )  # fmt: skip
    if abs(heading) > _MOST_TURNED:
        turn = start[2]
        raise KitError(
            f"A start's heading is in rad, {math.tau:.2f} for a full turn, not {turn:g}.",
            where=f"start={start!r}",
            hint=f"were those degrees? Write start=({start[0]:g}, {start[1]:g}, math.radians("
            f"{turn:g})), and `import math` before: {turn:g} degrees are"
            f" {math.radians(turn):.4g} rad.",
        )
    return x, y, heading


def _is_pose(start: object) -> bool:
    """Tell whether something is three finite numbers."""
    if not isinstance(start, (tuple, list)) or len(start) != 3:
        return False
    return all(isinstance(n, (int, float)) and math.isfinite(n) for n in start)
