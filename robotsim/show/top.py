"""Top view: where the tug went, drawn to scale, with a mark for every second."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..recording import Recording
from ..units import seconds
from .colours import INK, OKABE_ITO, PAPER, QUIET, readable
from .facts import float_rolled, touches
from .labels import Plan
from .lines import LINES, Line
from .overlay import draw_targets, label_targets, target_points
from .scene import BALL, HULL, Table, draw_float, draw_ghost, draw_table, draw_tug, print_points
from .style import SMALL, unlabelled
from .targets import Target

__all__ = [
    "Extent",
    "draw_path",
    "draw_top",
    "extent_of",
    "keep_clear",
    "label_dock",
    "plan_axes",
]

Extent = tuple[float, float, float, float]
"""Left, right, bottom, top in m."""


def extent_of(
    recordings: Sequence[Recording], table: Table | None, targets: Sequence[Target] = ()
) -> Extent:
    """Give the area that a top view has to show: the table, or else where the tug was.

    Where a float was moved, and all that happened lies in a corner of its table, it is that corner.
    """
    near = _action(recordings, table) if table is not None and not targets else None
    if near is not None:
        return near
    boxes = [] if table is None else [(0.0, table.width, 0.0, table.height)]
    reach = HULL + 0.03
    for recording in recordings:
        xs, ys = recording.tracks["x"], recording.tracks["y"]
        if table is None or not (
            -0.01 < min(xs) <= max(xs) < table.width + 0.01
            and -0.01 < min(ys) <= max(ys) < table.height + 0.01
        ):
            boxes.append((min(xs) - reach, max(xs) + reach, min(ys) - reach, max(ys) + reach))
    for target in targets:
        points = target_points(target)
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        out = target.tolerance
        boxes.append((x0 - out, x1 + out, y0 - out, y1 + out))
    left, right, low, high = (
        min(b[0] for b in boxes), max(b[1] for b in boxes),
        min(b[2] for b in boxes), max(b[3] for b in boxes),
    )  # fmt: skip
    if table is None:  # a plan narrower than this would look like a keyhole
        left, right = _widened(left, right, max(0.5, 0.9 * (high - low)))
        low, high = _widened(low, high, 0.55 * (right - left))
    margin = 0.022 * max(right - left, high - low)
    return left - margin, right + margin, low - margin, high + margin


def _action(recordings: Sequence[Recording], table: Table) -> Extent | None:
    """Give the part of a table in which float, dock and tugs were; None if it is most of it."""
    dock = getattr(table, "dock", None)
    if dock is None or not any(float_rolled(recording) for recording in recordings):
        return None
    x, y = _middle(dock)
    half = max(dock.width, dock.depth) / 2
    points = [(x - half, y - half), (x + half, y + half)]
    for recording in recordings:
        tracks = recording.tracks
        for out, names in ((HULL, ("x", "y")), (BALL, ("float_x", "float_y"))):
            xs, ys = (tracks[name] for name in names)
            points += [(min(xs) - out, min(ys) - out), (max(xs) + out, max(ys) + out)]
    left, right = min(x for x, _ in points) - 0.06, max(x for x, _ in points) + 0.06
    low, high = min(y for _, y in points) - 0.06, max(y for _, y in points) + 0.06
    low, high = _widened(low, high, 0.6 * (right - left))
    left, right = _widened(left, right, high - low)
    if right - left > 0.6 * table.width or high - low > 0.9 * table.height:
        return None
    edge = 0.02
    return (
        max(left, -edge), min(right, table.width + edge),
        max(low, -edge), min(high, table.height + edge),
    )  # fmt: skip


def _widened(low: float, high: float, least: float) -> tuple[float, float]:
    more = max(0.0, least - (high - low)) / 2
    return low - more, high + more


def plan_axes(figure: Figure, extent: Extent, box: tuple[float, float, float, float]) -> Axes:
    """Make an axes in m, as large as fits a box (left, top, width, height in inches from top left).

    It stands at the top left of the box; both axes have the same scale.
    """
    left, top, width, height = box
    dx, dy = extent[1] - extent[0], extent[3] - extent[2]
    scale = min(width / dx, height / dy)
    w, h = dx * scale, dy * scale
    full_w, full_h = figure.get_figwidth(), figure.get_figheight()
    axes = figure.add_axes(
        (left / full_w, 1 - (top + h) / full_h, w / full_w, h / full_h), label="top view"
    )
    axes.set_xlim(extent[0], extent[1])
    axes.set_ylim(extent[2], extent[3])
    unlabelled(axes)
    for name in ("left", "bottom"):
        axes.spines[name].set_visible(False)
    step = next(s for s in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10) if dx / s <= 8.5 or s == 10)
    axes.set_xticks(_round_numbers(extent[0], extent[1], step))
    axes.set_yticks(_round_numbers(extent[2], extent[3], step))
    places = 0 if step >= 1 else (2 if step < 0.1 else 1)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(lambda value, _: f"{value:.{places}f}".replace("-", "\u2212"))
        axis.set_tick_params(length=2, pad=2)
    ticks = axes.get_xticks()
    # the unit stands once, with the last number on the axis
    axes.set_xticklabels([*(f"{v:.{places}f}".replace("-", "\u2212") for v in ticks[:-1]),
                          f"{ticks[-1]:.{places}f} m"])  # fmt: skip
    return axes


def _round_numbers(low: float, high: float, step: float) -> list[float]:
    return [round(k * step, 6) for k in range(math.ceil(low / step), math.floor(high / step) + 1)]


def draw_top(
    axes: Axes, recording: Recording, *, table: Table | None = None, targets: Sequence[Target] = ()
) -> None:
    """Draw one recording on a top view: table, targets, path with time marks, tug."""
    if table is not None:
        draw_table(axes, table)
    plan = Plan(axes)
    keep_clear(plan, table)
    tracks = recording.tracks
    draw_targets(plan, targets)
    points = np.column_stack([tracks["x"], tracks["y"]])
    first = (tracks["x"][0], tracks["y"][0], tracks["heading"][0])
    if math.dist(first[:2], recording.end[:2]) > 0.004 or abs(recording.end[2] - first[2]) > 0.03:
        draw_ghost(axes, first, ray=math.dist(first[:2], recording.end[:2]) < 1.5 * HULL)
    draw_path(axes, points, LINES[0])
    arm = tracks.get("arm")
    draw_tug(axes, recording.end, recording.lamps_at(recording.seconds), arm[-1] if arm else None)
    plan.keep_off(points)
    plan.block(*first[:2], HULL)
    plan.block(*recording.end[:2], HULL * 1.15)
    label_dock(plan, table)
    _draw_ball(plan, recording)
    if math.dist(first[:2], recording.end[:2]) > 0.5 * HULL:
        _name(plan, first[0], first[1], "start", HULL)
    label_targets(plan, targets)
    _draw_marks(plan, recording)
    _draw_happenings(plan, recording)


def keep_clear(plan: Plan, table: Table | None) -> None:
    """Keep labels on the table, and there off its print and its dock."""
    if table is None:
        return
    plan.keep_inside(table.width, table.height)
    for points in print_points(table):
        plan.keep_off(points)
    if (dock := getattr(table, "dock", None)) is not None:
        plan.block(*_middle(dock), max(dock.width, dock.depth) / 2)


def label_dock(plan: Plan, table: Table | None) -> None:
    """Write the dock's name beside it."""
    if (dock := getattr(table, "dock", None)) is not None:
        _name(plan, *_middle(dock), "dock", max(dock.width, dock.depth) / 2)


def _middle(dock: Any) -> tuple[float, float]:
    half = dock.depth / 2
    return dock.x + half * math.cos(dock.heading), dock.y + half * math.sin(dock.heading)


def draw_path(axes: Axes, points: Any, line: Line, **more: Any) -> None:
    """Draw a path on a pale casing, so that it stands out from dark print as well."""
    axes.plot(*points.T, color=PAPER, linewidth=3.6, zorder=2.4, gid="casing")
    axes.plot(*points.T, color=line.colour, linestyle=line.dashes, linewidth=1.8, zorder=2.5,
              gid="path", **more)  # fmt: skip


def _draw_ball(plan: Plan, recording: Recording) -> None:
    xs, ys = recording.tracks.get("float_x"), recording.tracks.get("float_y")
    if not xs or not ys:
        return
    if math.dist((xs[0], ys[0]), (xs[-1], ys[-1])) > 0.004:
        plan.axes.plot(xs, ys, color=QUIET, linewidth=0.9, linestyle=(0, (1, 1.5)), zorder=2.3,
                       gid="float path")  # fmt: skip
    draw_float(plan.axes, (xs[0], ys[0]), (xs[-1], ys[-1]))
    plan.keep_off(np.column_stack([xs, ys]))
    plan.block(xs[-1], ys[-1], BALL)
    _name(plan, xs[-1], ys[-1], "float", BALL)


def _name(plan: Plan, x: float, y: float, text: str, radius: float) -> None:
    """Write the name of a round thing beside it, beneath if that is free."""
    around = [math.radians(a) for a in (-90, 90, 180, 0, -45, 45, 135, -135)]
    box = plan.find(x, y, text, around, reach=(radius * plan.scale + 0.05,))
    if box is not None:
        plan.write(box, text, color=QUIET, gid=f"{text} label")


def _draw_marks(plan: Plan, recording: Recording) -> None:
    """Draw a tick across the path for each second, and times beside as many as have room."""
    marks = _marks(plan, recording)
    half = 0.045 / plan.scale
    for _, x, y, angle in marks:
        dx, dy = -math.sin(angle) * half, math.cos(angle) * half
        plan.axes.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, linewidth=1.0, zorder=2.6,
                       solid_capstyle="butt", gid="second")  # fmt: skip
    taken = len(plan.taken)
    for step in (1, 2, 5, 10, 20, 50):
        wanted = [m for m in marks if m[0] % step == 0]
        if len(wanted) > 14:
            continue
        del plan.taken[taken:]
        found = []
        for number, x, y, angle in wanted:
            sides = (angle + math.pi / 2, angle - math.pi / 2)
            box = plan.find(x, y, f"{number} s", sides, reach=(0.07, 0.12))
            if box is not None:
                plan.taken.append(box)
                found.append((box, f"{number} s"))
        if len(found) >= 0.75 * len(wanted) or step >= recording.seconds / 2:
            break
    else:
        return
    del plan.taken[taken:]
    for box, text in found:
        plan.write(box, text, color=QUIET, gid="second label")


def _marks(plan: Plan, recording: Recording) -> list[tuple[int, float, float, float]]:
    """Give (second, x, y, direction of travel) where the tug has moved on by a little."""
    every = 1 if recording.seconds <= 60 else 5
    last = (recording.at("x", 0.0), recording.at("y", 0.0))
    marks = []
    for number in range(every, int(recording.seconds + 1e-9) + 1, every):
        x, y = recording.at("x", number), recording.at("y", number)
        if math.dist(last, (x, y)) * plan.scale < 0.06:
            continue
        last = (x, y)
        dx = recording.at("x", number + 0.03) - recording.at("x", number - 0.03)
        dy = recording.at("y", number + 0.03) - recording.at("y", number - 0.03)
        still = math.hypot(dx, dy) < 1e-6
        angle = recording.at("heading", number) if still else math.atan2(dy, dx)
        if math.dist((x, y), recording.end[:2]) > HULL:
            marks.append((number, x, y, angle))
    return marks


def _draw_happenings(plan: Plan, recording: Recording) -> None:
    """Mark where the tug touched something and where it was when the program ended."""
    around = [math.radians(a) for a in (40, -40, 140, -140, 90, -90, 0, 180)]
    told = [(t, what, "X") for t, what in touches(recording)[:3]]
    over = seconds(recording.ended_ns)
    where = (recording.at("x", over), recording.at("y", over))
    if math.dist(where, recording.end[:2]) > 0.02:
        told.append((over, "program ended", "s"))
    red = OKABE_ITO["vermilion"]
    for time, text, marker in told:
        # The float may be where the tug is not.
        x_of, y_of = ("float_x", "float_y") if text == "float met wall" else ("x", "y")
        x, y = recording.at(x_of, time), recording.at(y_of, time)
        plan.axes.plot([x], [y], marker=marker, markersize=6, markerfacecolor=PAPER,
                       markeredgecolor=red, markeredgewidth=1.3, zorder=5, linestyle="none",
                       gid=text)  # fmt: skip
        text = f"{text}, {time:.2f} s"
        box = plan.find(x, y, text, around, reach=(0.07, 0.16, 0.3, 0.45, 0.6))
        if box is not None:
            plan.write(box, text, color=readable(red), size=SMALL)
