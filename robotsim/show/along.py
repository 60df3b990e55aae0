"""Along: how one or more runs kept to the painted line, on the plan and as distance from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..errors import KitError
from ..recording import Recording
from ..table import Table, make_table
from ..table.weave import to_and_fro
from .colours import INK, QUIET, RULE, readable
from .compose import head
from .lines import line_for
from .style import SIZE, SMALL, fitted, new_figure, styled

__all__ = ["Kept", "along_figure", "kept", "show_along"]

_EYES_AHEAD = 0.044
"""The row of eyes ahead of the axle, in m (the tug's drawing)."""
_MOST = 4
_UNDER_WAY = 0.10
"""The first part of the way, in m, in which the tug may still find the line."""
_GONE = 0.04
"""Off the line by more than this, in m, the tug has lost it: its outer eyes stand 18 mm aside."""
_STILL = 0.005
"""Who came no farther along the line, in m, did not move: less would not show."""
_MOVES = 5e-4
"""Way in m from one drawn sample to the next above which the tug makes way."""
_EVERY = 2
"""Every so manieth sample is drawn: one each 20 ms."""


class Kept(NamedTuple):
    """How the middle of the row of eyes kept to the line.

    Attributes:
        gone: Way along the line at each sample, in m.
        off: Distance from the line in mm, to port positive.
        x, y: Where the row's middle was, in m.
        seconds: Time from sample to sample, in s.
        lost: Whether the line was lost.
        weaving: Degrees a metre turned to and fro beyond what the line turns.
    """

    gone: tuple[float, ...]
    off: tuple[float, ...]
    x: tuple[float, ...]
    y: tuple[float, ...]
    seconds: float
    lost: bool
    weaving: float

    @property
    def still(self) -> bool:
        """Whether it made no way along the line that would show."""
        return max(map(abs, self.gone)) < _STILL

    @property
    def under_way(self) -> tuple[float, ...]:
        """The distances in mm while it made way, without the first part of it."""
        steps = zip(self.gone, self.gone[1:], self.off[1:], strict=False)
        return tuple(off for a, b, off in steps if b > _UNDER_WAY and b - a > _MOVES) or self.off

    @property
    def mean(self) -> float:
        """Root of the mean square of the distance, in mm."""
        return math.sqrt(sum(off * off for off in self.under_way) / len(self.under_way))

    @property
    def swing(self) -> tuple[float, float]:
        """From side to side in mm, and from one swing to the next in s (0 if hardly any).

        Taken from the last 40 % of the way, when what the start did has died away.
        """
        tail = self.off[-max(4, int(0.4 * len(self.off))) :]
        middle = (max(tail) + min(tail)) / 2
        ups = [k for k in range(1, len(tail)) if tail[k - 1] <= middle < tail[k]]
        period = (ups[-1] - ups[0]) / (len(ups) - 1) * self.seconds if len(ups) > 1 else 0.0
        return max(tail) - min(tail), period


def kept(recording: Recording) -> Kept:
    """Work out how a run kept to the line of its table; what comes after a loss is left out.

    Raises:
        KitError: The table has no line.
    """
    line = _table(recording).line
    assert line is not None
    columns = (recording.tracks[name][::_EVERY] for name in ("x", "y", "heading"))
    rows = list(zip(*columns, strict=True))
    points = [(x + _EYES_AHEAD * math.cos(h), y + _EYES_AHEAD * math.sin(h)) for x, y, h in rows]
    first = before = line.nearest(*points[0])
    gone, off = [0.0], [1000 * first.offset]
    lost = False
    for point in points[1:]:
        place = line.nearest(*point)
        step = place.along - before.along
        gone.append(gone[-1] + (math.remainder(step, line.length) if line.closed else step))
        off.append(1000 * place.offset)
        before = place
        if gone[-1] > _UNDER_WAY and abs(place.offset) > _GONE:
            lost = True
            break
    xs, ys = zip(*points[: len(gone)], strict=True)
    seconds = _EVERY * recording.tracks["t"][1]
    on = [k for k, far in enumerate(gone) if far > _UNDER_WAY]
    headings = recording.tracks["heading"][::_EVERY]
    weaving = 0.0
    if on:
        span = slice(on[0], on[-1] + 1)
        weaving = to_and_fro(line, first.along, gone[span], headings[span])
    return Kept(tuple(gone), tuple(off), xs, ys, seconds, lost, weaving)


def _table(recording: Recording) -> Table:
    table = make_table(recording.table, recording.seed)
    if table.line is None:
        raise KitError(
            f"The table {table.name!r} has no line to keep to.",
            hint="take a run on 'quay', 'channel' or 'harbour'.",
        )
    return table


def along_figure(
    recordings: Sequence[Recording], labels: Sequence[str], *, title: str = ""
) -> Figure:
    """Draw how runs kept to the line: their paths, and for each its distance along the way.

    Args:
        recordings: One to four recordings of one table.
        labels: A short name for each.
        title: The finding, in words; made from the recordings if empty.

    Returns:
        The figure; its label tells it in words.

    Raises:
        KitError: There are none or too many, labels are missing, tables differ or have no line.
    """
    _ask(recordings, labels)
    table = _table(recordings[0])
    ways = [kept(recording) for recording in recordings]
    told = [_words(label, way) for label, way in zip(labels, ways, strict=True)]
    with styled():
        high = max(3.4, 1.0 + 0.95 * len(ways))
        drawn = new_figure(10.0, high)
        tugs = ", ".join(dict.fromkeys(recording.tug for recording in recordings))
        of = f"On the {table.name}, {tugs}"
        head(drawn, title or _finding(labels, ways),
             f"{of}: the row of eyes, right: mm off the line, port is up")  # fmt: skip
        _draw_plan(drawn.add_axes((0.02, 0.08, 0.38, 1 - 0.85 / high), label="plan"), table, ways)
        longest = max(_STILL, *(max(way.gone) for way in ways))
        limit = max(12.0, *(max(map(abs, way.under_way)) for way in ways))
        tall = (1 - 1.10 / high) / len(ways)
        for k, (way, label) in enumerate(zip(ways, labels, strict=True)):
            low = 0.55 / high + (len(ways) - 1 - k) * tall
            axes = drawn.add_axes((0.485, low, 0.495, tall - 0.28 / high), label=label)
            _draw_off(axes, k, way, label, (longest, 1.1 * min(limit, 1000 * _GONE)))
            if k < len(ways) - 1:
                axes.set_xticklabels([])
            else:
                axes.set_xlabel("way along the line in m")
        drawn.set_label(" ".join(told))
        return drawn


def _ask(recordings: Sequence[Recording], labels: Sequence[str]) -> None:
    if not 1 <= len(recordings) <= _MOST or len(labels) != len(recordings):
        raise KitError(
            f"There are {len(recordings)} recordings and {len(labels)} labels.",
            hint=f"give one to {_MOST} recordings, and a label for each.",
        )
    if len({(recording.table, recording.seed) for recording in recordings}) > 1:
        raise KitError("The runs were on different tables.", hint="compare runs of one table.")


def _words(label: str, way: Kept) -> str:
    if way.lost:
        return f"{label}: lost the line after {way.gone[-1]:.2f} m."
    if way.still:
        return f"{label}: did not move along the line."
    far = max(map(abs, way.under_way))
    return (
        f"{label}: came {way.gone[-1]:.2f} m along the line, {way.mean:.1f} mm off it on average, "
        f"at most {far:.0f} mm, and turned {way.weaving:.0f} degrees a metre to and fro beyond "
        "what the line turns."
    )


def _finding(labels: Sequence[str], ways: Sequence[Kept]) -> str:
    lost = [label for label, way in zip(labels, ways, strict=True) if way.lost]
    if len(ways) > 1:
        if lost:
            return f"Lost the line: {', '.join(lost)}"
        if any(way.still for way in ways):
            still = [label for label, way in zip(labels, ways, strict=True) if way.still]
            return f"Did not move along the line: {', '.join(still)}"
        best = min(range(len(ways)), key=lambda k: ways[k].weaving)
        return f"Calmest: {labels[best]}, {ways[best].weaving:.0f} degrees a metre to and fro"
    if lost:
        return f"The line was lost after {ways[0].gone[-1]:.2f} m"
    if ways[0].still:
        return "It did not move along the line"
    return (
        f"It keeps {ways[0].mean:.1f} mm off the line on average and turns "
        f"{ways[0].weaving:.0f} degrees a metre to and fro"
        if round(ways[0].weaving) else
        f"It keeps {ways[0].mean:.1f} mm off the line on average and turns no more than the line"
    )  # fmt: skip


def _draw_plan(axes: Axes, table: Table, ways: Sequence[Kept]) -> None:
    for stroke in table.prints:
        wide = 7.0 if stroke.name == "quay line" else 4.0
        axes.plot(*zip(*stroke.points, strict=True), color=RULE, linewidth=wide,
                  solid_capstyle="butt", gid=stroke.name)  # fmt: skip
    for k, way in enumerate(ways):
        line = line_for(k)
        axes.plot(way.x, way.y, color=line.colour, linestyle=line.dashes, linewidth=1.1, gid="path")
        axes.plot(way.x[-1:], way.y[-1:], line.marker or "o", color=line.colour, markersize=6,
                  gid="end")  # fmt: skip
    axes.plot(ways[0].x[:1], ways[0].y[:1], "o", color=INK, markerfacecolor="none", gid="start")
    axes.annotate("start", (ways[0].x[0], ways[0].y[0]), xytext=(0, -11), fontsize=SMALL,
                  textcoords="offset points", color=QUIET, ha="center", va="top")  # fmt: skip
    axes.set_aspect("equal")
    axes.margins(0.06)
    axes.axis("off")


def _draw_off(axes: Axes, k: int, way: Kept, label: str, limits: tuple[float, float]) -> None:
    line = line_for(k)
    longest, most = limits
    axes.axhspan(-9.0, 9.0, color=RULE, alpha=0.55, linewidth=0, gid="line")
    axes.axhline(0.0, color=QUIET, linewidth=0.7)
    axes.plot(way.gone, way.off, color=line.colour, linewidth=1.1, gid="off")
    if way.lost:
        axes.plot(way.gone[-1:], [math.copysign(0.9 * most, way.off[-1])], "x", color=line.colour,
                  markersize=8, gid="lost")  # fmt: skip
    axes.set_xlim(0, longest)
    axes.set_ylim(-most, most)
    end = f" {way.mean:.1f} mm off, {way.weaving:.0f}°/m to and fro"
    if way.lost or way.still:
        end = " lost the line" if way.lost else " did not move along the line"
    axes.set_title(fitted(f"{label}:{end}", 4.4, SIZE), fontsize=SIZE, loc="left",
                   fontweight="bold", color=readable(line.colour), pad=3)  # fmt: skip


def show_along(recordings: Sequence[Recording], labels: Sequence[str], *, title: str = "") -> None:
    """Show in the notebook how runs kept to the line; see `along_figure`."""
    from .display import show_figure

    show_figure(along_figure(recordings, labels, title=title))
