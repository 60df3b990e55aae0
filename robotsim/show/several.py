"""Several: a few recordings on one plan, and one quantity of all of them over time."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import product
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError, UnknownNameError
from ..recording import Recording
from .colours import INK, PAPER, readable
from .compose import head
from .facts import journey
from .labels import Plan
from .lines import MOST_RUNS, line_for
from .overlay import draw_targets, label_targets
from .scene import HULL, Table, draw_ghost, draw_table, draw_tug
from .strips import nice_limit, speeds, turn_rate
from .style import SIZE, SMALL, fitted, new_figure, spread, styled, time_ticks
from .targets import Target
from .top import draw_path, extent_of, keep_clear, label_dock, plan_axes
from .words import listed

__all__ = ["CURVES", "compare", "compare_text"]

Curve = Callable[[Recording], tuple[Any, Any]]
_BOLD = 0.08
"""So many inches a name in bold type may be wider than it is measured, and the gap to the next."""


def _turned(recording: Recording) -> tuple[Any, Any]:
    heading = np.degrees(recording.tracks["heading"])
    return np.asarray(recording.tracks["t"]), heading - heading[0]


def _aside(recording: Recording) -> tuple[Any, Any]:
    x, y, heading = (np.asarray(recording.tracks[n]) for n in ("x", "y", "heading"))
    cos, sin = math.cos(heading[0]), math.sin(heading[0])
    return np.asarray(recording.tracks["t"]), (y - y[0]) * cos - (x - x[0]) * sin


CURVES: dict[str, tuple[str, Curve, float]] = {
    "speed": ("speed in m/s", speeds, 0.05),
    "rate of turn": ("rate of turn in °/s, to port is up", turn_rate, 5.0),
    "heading": ("turned from the first heading in °, to port is up", _turned, 5.0),
    "aside": ("off the first line in m, to port is up", _aside, 0.05),
}
"""What `compare` can draw over time: name to (title, values, what its axis reaches to at least).

A tug that is off by a tenth of a millimetre is not shown as one that is off."""


def compare(
    recordings: Sequence[Recording], labels: Sequence[str], *, strip: str = "speed",
    table: Table | None = None, targets: Sequence[Target] = (), title: str = "",
) -> Figure:  # fmt: skip
    """Draw several paths on one plan, and one quantity of all of them over time.

    Args:
        recordings: Two to six recordings of the same table.
        labels: A short name for each.
        strip: What to draw over time, one of `CURVES`, or the name of a track.
        table: The table they happened on.
        targets: Where the tug should have gone.
        title: The finding, in words; made from the recordings if empty.

    Raises:
        KitError: There are none or too many, or labels are missing.
        UnknownNameError: There is no such strip.
    """
    _ask(recordings, labels)
    name, curve, least = _curve(recordings, strip)
    with styled():
        extent = extent_of(recordings, table, targets)
        plan = min(5.3 * (extent[3] - extent[2]) / (extent[1] - extent[0]), 5.0)
        drawn = new_figure(10.0, 0.72 + plan + 0.4)
        told = compare_text(recordings, labels)
        head(drawn, title or _difference(recordings, labels),
             f"{len(recordings)} runs on the {recordings[0].table}")  # fmt: skip
        axes = plan_axes(drawn, extent, (0.42, 0.72, 5.3, plan))
        _paths(axes, recordings, labels, table, targets)
        high = drawn.get_figheight()
        box = (0.63, 0.4 / high, 0.25, (plan - 0.25) / high)
        _curves(drawn.add_axes(box, label=name), recordings, labels, name, curve, least)
        drawn.set_label(told)
        return drawn


def _ask(recordings: Sequence[Recording], labels: Sequence[str]) -> None:
    if not 1 <= len(recordings) <= MOST_RUNS:
        raise KitError(
            f"{len(recordings)} recordings cannot be compared; it takes 1 to {MOST_RUNS}.",
            hint="choose the few whose paths matter.",
        )
    if len(labels) != len(recordings):
        raise KitError(
            f"There are {len(recordings)} recordings and {len(labels)} labels.",
            hint="give one label for each recording.",
        )


def _curve(recordings: Sequence[Recording], strip: str) -> tuple[str, Curve, float]:
    if strip in CURVES:
        return CURVES[strip]
    tracks = set.intersection(*(set(r.tracks) for r in recordings)) - {"t"}
    if strip not in tracks:
        raise UnknownNameError("strip", strip, {*CURVES, *tracks})
    return strip, lambda r: (np.asarray(r.tracks["t"]), np.asarray(r.tracks[strip])), 0.0


def _paths(
    axes: Axes, recordings: Sequence[Recording], labels: Sequence[str], table: Table | None,
    targets: Sequence[Target],
) -> None:  # fmt: skip
    if table is not None:
        draw_table(axes, table)
    plan = Plan(axes)
    keep_clear(plan, table)
    draw_targets(plan, targets)
    starts: set[tuple[float, float, float]] = set()
    for number, recording in enumerate(recordings):
        tracks, line = recording.tracks, line_for(number)
        points = np.column_stack([tracks["x"], tracks["y"]])
        first = (tracks["x"][0], tracks["y"][0], tracks["heading"][0])
        if first not in starts:
            starts.add(first)
            draw_ghost(axes, first)
            plan.block(*first[:2], HULL)
        draw_path(axes, points, line, marker=line.marker, markersize=4.5,
                  markevery=_each_second(recording))  # fmt: skip
        draw_tug(axes, recording.end, faint=True, zorder=4 + 0.01 * number)
        plan.keep_off(points)
    for recording in recordings:
        plan.block(*recording.end[:2], HULL)
    for together in _piled([recording.end for recording in recordings]):
        _label_end(plan, recordings[together[0]], {k: labels[k] for k in together})
    label_dock(plan, table)
    label_targets(plan, targets)


def _each_second(recording: Recording) -> list[int]:
    times = np.asarray(recording.tracks["t"])
    step = 1 if recording.seconds <= 12 else 5
    return [int(np.searchsorted(times, s - 1e-9)) for s in range(step, math.ceil(times[-1]), step)]


def _piled(ends: Sequence[tuple[float, float, float]]) -> list[list[int]]:
    """Give the numbers of tugs together that lie on each other: between them no name has room."""
    piles: list[list[int]] = []
    for number, end in enumerate(ends):
        for pile in piles:
            if math.dist(ends[pile[0]][:2], end[:2]) < HULL:
                pile.append(number)
                break
        else:
            piles.append([number])
    return piles


def _label_end(plan: Plan, recording: Recording, labels: Mapping[int, str]) -> None:
    """Write the names, by the numbers of their lines, beside the tug at the end of their runs."""
    x, y, heading = recording.end
    around = [heading, *(heading + math.radians(a) for a in (40, -40, 80, -80, 120, -120, 180))]
    out = HULL * plan.scale
    texts = {number: fitted(label, 1.6, SIZE) for number, label in labels.items()}
    wide = max(plan.room_of(text, SIZE)[0] for text in texts.values()) + _BOLD
    high = plan.room_of("", SIZE)[1]
    ways = product((True, False), (0.04, 0.2, 0.45), range(1, len(texts) + 1))
    for lines, gap, columns in ways:  # near the tug first, and there in one column first
        rows = math.ceil(len(texts) / columns)
        found = plan.find_room(x, y, columns * wide, rows * high, around, reach=[out + gap],
                               lines=lines)  # fmt: skip
        if found:
            break
    else:  # nowhere free: names over something are better than none
        u, v = plan.at(x, y)
        found = (u - wide / 2, v + out, u + wide / 2, v + out + high)
    ground = None if lines else {"facecolor": PAPER, "edgecolor": "none", "pad": 0}
    for place, (number, text) in enumerate(texts.items()):
        left, top = found[0] + place // rows * wide, found[3] - place % rows * high
        colour = readable(line_for(number).colour)
        plan.write((left, top - high, left + wide, top), text, size=SIZE, color=colour,
                   fontweight="bold", gid="path label", bbox=ground)  # fmt: skip


def _curves(
    axes: Axes, recordings: Sequence[Recording], labels: Sequence[str], name: str, curve: Curve,
    least: float,
) -> None:  # fmt: skip
    ends, lowest, highest = [], 0.0, 0.0
    longest = max(r.seconds for r in recordings)
    for number, recording in enumerate(recordings):
        line = line_for(number)
        times, values = curve(recording)
        axes.plot(times, values, color=line.colour, linestyle=line.dashes, marker=line.marker,
                  markersize=4, markevery=_each_second(recording), gid="curve")  # fmt: skip
        ends.append(float(values[-1]))
        lowest, highest = min(lowest, float(values.min())), max(highest, float(values.max()))
    if max(-lowest, highest) < least:
        lowest, highest = (-least, highest) if -lowest > highest else (lowest, least)
    low, high = (-nice_limit(-lowest) if lowest < 0 else 0.0), nice_limit(highest)
    if low < 0.0 and highest <= 0.02 * -low:
        high = 0.0
    if -lowest <= 0.02 * high:
        low = 0.0
    pad = 0.04 * (high - low)
    axes.set_ylim(low - pad, high + pad)
    axes.set_xlim(0, longest)
    ticks = time_ticks(longest, 6)
    axes.set_xticks(ticks, [*(f"{t:g}" for t in ticks[:-1]), f"{ticks[-1]:g} s"])
    axes.set_title(name, loc="left", fontsize=SMALL, fontweight="bold", color=INK, pad=6)
    axes.grid(axis="both")
    axes.set_axisbelow(True)
    figure = axes.get_figure(root=True)
    tall = axes.get_position().height * (figure.get_figheight() if figure else 1.0)
    places = spread([(e - low + pad) / (high - low + 2 * pad) for e in ends],
                    1.2 * SIZE / 72 / tall, 0.02, 0.98)  # fmt: skip
    for number, (place, label) in enumerate(zip(places, labels, strict=True)):
        axes.text(1.03, place, fitted(label, 1.05, SIZE), transform=axes.transAxes, fontsize=SIZE,
                  va="center_baseline", color=readable(line_for(number).colour),
                  gid="curve label")  # fmt: skip


def _difference(recordings: Sequence[Recording], labels: Sequence[str]) -> str:
    if len(recordings) == 2:
        apart = math.dist(recordings[0].end[:2], recordings[1].end[:2])
        said = f"{labels[0]} and {labels[1]} ended {apart:.2f} m apart"
        return said[0].upper() + said[1:]
    return f"Where {listed(list(labels))} went"


def compare_text(recordings: Sequence[Recording], labels: Sequence[str]) -> str:
    """Tell in words where each of several runs ended."""
    told = []
    for recording, label in zip(recordings, labels, strict=True):
        went = journey(recording)
        way = "ahead" if went.ahead >= 0 else "astern"
        side = "port" if went.port >= 0 else "starboard"
        turn = round(abs(math.degrees(went.turned)))
        round_ = f" to {'port' if went.turned > 0 else 'starboard'}" if turn else ""
        told.append(
            f"{label}: ended {abs(went.ahead):.2f} m {way} and {abs(went.port):.2f} m to {side} of "
            f"its start after {went.path:.2f} m, turned by {turn} degrees{round_}."
        )
    return " ".join(told)
