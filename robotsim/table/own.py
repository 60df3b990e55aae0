"""Own: a table that somebody lays out in a few lines, as plain data that can be kept and shared.

What comes from a neighbour's file is looked at before it is believed: every number within bounds,
everything on the table.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from ..errors import KitError, UnknownNameError
from .floor import Floor
from .layouts import BLACK
from .start import FROM_EDGE, off_table
from .table import Dock, Print, Table
from .track import Leg, Track, bend, straight

__all__ = ["table_of"]

_EDGE = (0.4, 4.0)
"""Shortest and longest edge of a table in m."""
_MOST_LEGS = 60
_LEAST_RADIUS = 0.05
_BALL = 0.02
_WIDTH, _BAR = 0.018, 0.10
_GATE = (0.20, 0.14)
_KNOWN = ("size", "start", "walls", "line", "bars", "float_at", "dock")


def table_of(name: str, plan: Mapping[str, Any]) -> Table:
    """Lay out a table from its plan.

    Args:
        name: Its name.
        plan: What is given of: `size`, width and height in m; `start`, x and y in m and the way the
            tug looks in degrees; `walls`, whether there are any; `line`, a list of
            ("straight", m) and ("bend", radius in m, degrees to port) that begins at the start;
            `bars`, how far along the line each stop bar lies, in m; `float_at`, x and y; `dock`,
            x and y of its gate and the way into it in degrees.

    Raises:
        KitError: Something in it cannot be.
    """
    for word in plan:
        if word not in _KNOWN:
            raise UnknownNameError("part of a table", word, _KNOWN)
    width, height = _numbers("size", plan.get("size", (1.2, 0.8)), 2)
    if not all(_EDGE[0] <= edge <= _EDGE[1] for edge in (width, height)):
        raise _wrong("size", f"edges from {_EDGE[0]:g} to {_EDGE[1]:g} m", "size=(1.2, 0.8)")
    x, y, degrees = _numbers("start", plan.get("start", (0.25, height / 2, 0.0)), 3)
    _within("start", (x, y), (width, height), FROM_EDGE)
    line = _line(plan.get("line"), (x, y, math.radians(degrees)), (width, height))
    strokes = [("quay line", line, _WIDTH)] if line else []
    strokes += [("stop bar", bar, _WIDTH) for bar in _bars(plan.get("bars", ()), line)]
    return Table(
        name=name, width=width, height=height, start=(x, y, math.radians(degrees)),
        walls=bool(plan.get("walls", True)),
        prints=tuple(Print(track.points(), wide, BLACK, what) for what, track, wide in strokes),
        floor=Floor((track, wide, BLACK) for _, track, wide in strokes),
        dock=_dock(plan.get("dock"), (width, height)),
        float_start=_float(plan.get("float_at"), (width, height)), line=line,
    )  # fmt: skip


def _line(legs: Any, begin: tuple[float, float, float], size: tuple[float, float]) -> Track | None:
    if not legs:
        return None
    if not isinstance(legs, (list, tuple)) or len(legs) > _MOST_LEGS:
        raise _wrong("line", f"a list of at most {_MOST_LEGS} pieces", 'line=[("straight", 0.5)]')
    track = Track.lay(begin, [_leg(leg) for leg in legs])
    low_x, low_y, high_x, high_y = track.bounds()
    for corner in ((low_x, low_y), (high_x, high_y)):
        _within("line", corner, size, 0.0)
    return track


def _leg(leg: Any) -> Leg:
    what, *rest = leg if isinstance(leg, (list, tuple)) and leg else (None,)
    if what == "straight" and len(rest) == 1:
        (length,) = _numbers("line", rest, 1)
        if 0.0 < length <= _EDGE[1]:
            return straight(length)
    elif what == "bend" and len(rest) == 2:
        radius, angle = _numbers("line", rest, 2)
        if _LEAST_RADIUS <= radius <= _EDGE[1] and 0.0 < abs(angle) <= 360.0:
            return bend(radius, angle)
    raise _wrong(
        "line", f'pieces ("straight", m) and ("bend", radius of {_LEAST_RADIUS:g} m or more,'
        f" degrees), not {leg!r}", 'line=[("straight", 0.5), ("bend", 0.2, 90)]',
    )  # fmt: skip


def _bars(places: Any, line: Track | None) -> list[Track]:
    if not places:
        return []
    if line is None or not isinstance(places, (list, tuple)) or len(places) > _MOST_LEGS:
        raise _wrong("bars", "a list of places along a line, and a line", "bars=[0.8]")
    laid = []
    for along in _numbers("bars", places, len(places)):
        if not 0.0 <= along <= line.length:
            raise _wrong("bars", f"from 0 to the line's {line.length:.2f} m", "bars=[0.8]")
        x, y, way = line.at(along)
        port = (x - _BAR / 2 * math.sin(way), y + _BAR / 2 * math.cos(way), way - math.pi / 2)
        laid.append(Track.lay(port, [straight(_BAR)]))
    return laid


def _dock(plan: Any, size: tuple[float, float]) -> Dock | None:
    if plan is None:
        return None
    x, y, degrees = _numbers("dock", plan, 3)
    _within("dock", (x, y), size, 0.0)
    return Dock(x, y, math.radians(degrees), *_GATE)


def _float(plan: Any, size: tuple[float, float]) -> tuple[float, float] | None:
    if plan is None:
        return None
    x, y = _numbers("float_at", plan, 2)
    _within("float_at", (x, y), size, _BALL)
    return x, y


def _numbers(what: str, given: Any, count: int) -> Sequence[float]:
    """Give some numbers as they are, if they are numbers."""
    fits = isinstance(given, (list, tuple)) and len(given) == count
    if not fits or not all(
        isinstance(n, (int, float)) and not isinstance(n, bool) and math.isfinite(n) for n in given
    ):
        raise _wrong(what, f"{count} number{'' if count == 1 else 's'}, not {given!r}", "")
    return [float(n) for n in given]


def _within(
    what: str, place: tuple[float, float], size: tuple[float, float], margin: float
) -> None:
    if wrong := off_table(place, size, margin):
        raise _wrong(what, wrong, "")


def _wrong(what: str, accepted: str, example: str) -> KitError:
    hint = f"write {example}." if example else "x goes from 0 to the width, y from 0 to the height."
    return KitError(f"A table's {what} is {accepted}.", where=what, hint=hint)
