"""Following: what a recording says about the line eyes and the way along the line.

The eyes are judged by where the middle of their row was over the line, and by
what each read; never by what a program makes of it.
"""

from __future__ import annotations

import bisect
import functools
import math
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, groupby, pairwise, repeat
from typing import NamedTuple

from robotsim import PINS, Recording, Whose, make_table, run_trial
from robotsim.recording import once
from robotsim.table import Table, stop_bars
from robotsim.table.weave import to_and_fro

from .motion import SIDES, motor_phases

__all__ = [
    "EYE_PINS",
    "LOST",
    "SEEN",
    "TOP_COUNT",
    "UNDER_WAY",
    "Course",
    "Look",
    "Truth",
    "course",
    "junction",
    "looks",
    "round_s",
    "true_counts",
]

EYE_PINS = tuple(PINS[f"eye_{k}"] for k in range(4))
"""The pins of the eyes, from port to starboard."""
TOP_COUNT = 4095
"""The converter's highest count; with 11 dB no eye ever reads it."""
SEEN = 0.029
"""Off the line by no more than this, in m, an eye still sees some of it: the outer eyes stand
18 mm from the middle, the line is 18 mm wide, the spot 4 mm across."""
LOST = 0.040
"""Off the line by more than this, in m, the tug has lost it."""
_AHEAD = 0.044
"""The row of eyes ahead of the axle, in m (the tug's drawing)."""
UNDER_WAY = 0.10
"""After so much way along the line, in m, following has begun: what was before is calibrating."""
_EDGE = 0.012
"""So far before a bar's middle, in m, the eyes may see it: 9 mm of bar, the spot, some noise."""
_AHEAD_DUTY = 0.1
"""Mean duty of both motors above which the tug is driven ahead, not turned on the spot."""
_CLEARLY = 0.003
"""A line that lies so far aside, in m, shows in the eyes."""
_AFTER = 1.5
"""So long after the line was lost, in s, a loop still shows its pace."""


class Look(NamedTuple):
    """One reading of an eye: when (s) and its count."""

    time: float
    value: int


def looks(recording: Recording, eye: int) -> list[Look]:
    """Give all readings of one eye."""
    return [Look(e.seconds, int(e.data[1])) for e in recording.of("adc", pin=EYE_PINS[eye])]


@dataclass(frozen=True)
class Course:
    """How the middle of the row of eyes went along the line.

    Attributes:
        table: The table.
        t: Times in s.
        gone: How far along the line since the start, in m; two rounds count twice.
        aside: Distance from the line in m, positive to its left.
        side: The same as the tug sees it: positive where the line lies to port.
        turned: The tug's heading in rad, not wrapped.
        steer: Share of duty by which the right motor got more than the left one.
        drive: Mean of both motors' duties.
        begin: First sample after calibrating, when following has begun; None if never.
        lost: First sample from `begin` on at which the line was lost; None if never.
        goal: Length of way to the goal in m: a round, or to the first stop bar.
        end: First sample at the goal (at a bar its near edge); None if it was not reached, or
            only after the line was lost.
    """

    table: Table
    t: Sequence[float]
    gone: tuple[float, ...]
    aside: tuple[float, ...]
    side: tuple[float, ...]
    turned: Sequence[float]
    steer: tuple[float, ...]
    drive: tuple[float, ...]
    begin: int | None
    lost: int | None
    goal: float
    end: int | None

    @property
    def share(self) -> float:
        """Share of the way that was covered before the line was lost, 0 to 1."""
        if self.begin is None:
            return 0.0
        if self.end is not None:
            return 1.0
        return min(1.0, max(0.0, max(self.gone[: self.last + 1])) / self.goal)

    @property
    def last(self) -> int:
        """The last sample that counts: at the goal, where the line was lost, or the end."""
        stops = [k for k in (self.end, self.lost) if k is not None]
        return min(stops, default=len(self.t) - 1)

    @property
    def span(self) -> range:
        """The samples that count: under way, up to `last`."""
        return range(self.last if self.begin is None else self.begin, self.last + 1)

    @property
    def widest(self) -> int:
        """The sample that counts at which the row was farthest off the line."""
        return max(self.span, key=lambda k: abs(self.aside[k]))

    @property
    def seconds(self) -> float:
        """Time under way, in s."""
        return self.t[self.last] - self.t[self.span[0]]

    @property
    def metres(self) -> float:
        """Way along the line under way, in m."""
        return self.gone[self.last] - self.gone[self.span[0]]

    @property
    def weaving(self) -> float:
        """Degrees a metre that the tug turned to and fro beyond what the line itself turns."""
        assert self.table.line is not None
        span = slice(self.span[0], self.last + 1)
        start = _start_along(self.table)
        return to_and_fro(self.table.line, start, self.gone[span], self.turned[span])

    def bend_at(self, k: int) -> float:
        """Give the radius in m of the line beside sample k; infinite on a straight."""
        step = 0.02
        turn = abs(self._way(self.gone[k] + step) - self._way(self.gone[k] - step))
        turn = abs(math.remainder(turn, math.tau))
        return 2 * step / turn if turn > 0.01 else math.inf

    def _way(self, gone: float) -> float:
        assert self.table.line is not None
        return self.table.line.way(_start_along(self.table) + gone)

    @property
    def steering(self) -> range:
        """The samples from the first drive ahead until the line was lost or the goal reached."""
        count = len(self.t)
        first = next((k for k in range(count) if self.drive[k] > _AHEAD_DUTY), count)
        gone = (k for k in range(first, count) if abs(self.aside[k]) > LOST)
        stop = min(next(gone, count), count if self.end is None else self.end)
        return range(first, max(first, stop))

    @property
    def right_way(self) -> float | None:
        """Share of the time in which it steered towards the line, 0 to 1; None if hardly any.

        Only moments count at which the line lay clearly aside.
        """
        votes = [
            self.side[k] * self.steer[k] > 0
            for k in self.steering
            if _CLEARLY <= abs(self.side[k]) and abs(self.steer[k]) > 0.01
        ]
        return sum(votes) / len(votes) if len(votes) >= 8 else None


def round_s(recording: Recording) -> float | None:
    """Give the usual time in s from one look to the next while it steered by the eyes.

    It is that of the eye that is read most; None if none was read again and again.
    """
    went = course(recording)
    if not went.steering:
        return None
    begin, end = went.t[went.steering[0]] - 0.001, went.t[went.steering[-1]] + _AFTER
    times = max(
        ([look.time for look in looks(recording, eye) if begin <= look.time <= end]
         for eye in range(4)),
        key=len,
    )  # fmt: skip
    gaps = [b - a for a, b in zip(times, times[1:], strict=False)]
    return statistics.median(gaps) if gaps else None


def _start_along(table: Table) -> float:
    assert table.line is not None
    x, y, heading = table.start
    eyes = x + _AHEAD * math.cos(heading), y + _AHEAD * math.sin(heading)
    return table.line.nearest(*eyes).along


def junction(table: Table) -> float | None:
    """Give where a side line leaves the line, in m from the start; None if none does."""
    line = table.line
    assert line is not None
    for stroke in table.prints:
        if stroke.name == "side line":
            ends = (line.nearest(*stroke.points[k]) for k in (0, -1))
            return min(ends, key=lambda place: abs(place.offset)).along - _start_along(table)
    return None


@once
def course(recording: Recording) -> Course:
    """Give how a tug went along the line of its table."""
    table = make_table(recording.table, recording.seed)
    line = table.line
    assert line is not None
    tracks = recording.tracks
    # A tug that stands has the same row again and again, which is looked at once.
    poses = groupby(zip(tracks["x"], tracks["y"], tracks["heading"], strict=True))
    rows, lasts = zip(*((row, sum(1 for _ in same)) for row, same in poses), strict=True)
    points = [(x + _AHEAD * math.cos(h), y + _AHEAD * math.sin(h)) for x, y, h in rows]
    places = line.places(points)
    steps = (place.along - before.along for before, place in pairwise(places))
    gone = _each(accumulate(
        (math.remainder(step, line.length) if line.closed else step for step in steps), initial=0.0
    ), lasts)  # fmt: skip
    side = _each((
        -place.offset * math.copysign(1.0, math.cos(h - line.way(place.along)))
        for place, (_, _, h) in zip(places, rows, strict=True)
    ), lasts)  # fmt: skip
    aside = _each((place.offset for place in places), lasts)
    goal = line.length if line.closed else stop_bars(table)[0] - _start_along(table)
    begin = next((k for k, far in enumerate(gone) if far > UNDER_WAY), None)
    span = range(len(gone) if begin is None else begin, len(gone))
    lost = next((k for k in span if abs(aside[k]) > LOST), None)
    there = goal if line.closed else goal - _EDGE
    end = next((k for k in span if gone[k] >= there), None)
    if lost is not None and (end is None or lost < end):
        end = None
    duties = _duties(recording)
    return Course(
        table=table, t=tracks["t"], gone=gone, aside=aside, side=side,
        turned=tracks["heading"], steer=tuple(right - left for left, right in duties),
        drive=tuple(0.5 * (left + right) for left, right in duties),
        begin=begin, lost=lost, goal=goal, end=end,
    )  # fmt: skip


def _each(values: Iterable[float], lasts: Iterable[int]) -> tuple[float, ...]:
    """Give each value as often as it lasts, in samples."""
    return tuple(chain.from_iterable(map(repeat, values, lasts)))


def _duties(recording: Recording) -> list[tuple[float, float]]:
    """Give the signed duties of the left and the right motor at each sample."""
    times = recording.tracks["t"]
    sides = []
    for side in SIDES:
        phases = motor_phases(recording, side, 0.0)
        edges = [0, *(bisect.bisect_left(times, p.begin) for p in phases[1:]), len(times)]
        held = zip(phases, pairwise(edges), strict=True)
        sides.append([phase.duty for phase, (a, b) in held for _ in range(a, b)])
    return list(zip(*sides, strict=True))


class Truth(NamedTuple):
    """What the eyes of a tug read over the paper and over the line, as counts at 11 dB.

    Attributes:
        white: Over paper, eye 0 to eye 3.
        black: Over the middle of the line.
    """

    white: tuple[float, ...]
    black: tuple[float, ...]


_ROOM = 0.08
"""A straight of this length in m holds the row of eyes, and some of the line beyond its ends."""
_STARE = """
from machine import ADC, Pin
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in ({pins})]
for _ in range(40):
    for eye in eyes:
        eye.read()
"""


@functools.lru_cache(maxsize=512)
def true_counts(table: str, seed: int, serial: int, day: str) -> Truth:
    """Read what each eye of a tug sees over paper and over the line of a table, on a day.

    The tug is set down across the straight of the line that is nearest to the start, where the
    room is as bright as there, so that the row of eyes lies along the line; then farther on, so
    that the row lies beside it.  Each day lights the room in its own way.
    """
    laid = make_table(table, seed)
    line = laid.line
    assert line is not None
    straights = [p for p in line.pieces if not p.curvature and p.length >= _ROOM]
    middles = [piece.at(0.5 * piece.length) for piece in straights]
    x, y, way = min(middles, key=lambda place: math.dist(place[:2], laid.start[:2]))
    left = way + math.pi / 2
    program = _STARE.format(pins=", ".join(map(str, EYE_PINS)))
    found = []
    for beside in (0.06, 0.0):
        back = beside - _AHEAD
        start = (x + back * math.cos(left), y + back * math.sin(left), left)
        stared = run_trial(
            program, table=table, seed=seed, serial=serial, day=day, seconds=0.05, start=start,
            whose=Whose.KIT,
        )  # fmt: skip
        means = [statistics.fmean(look.value for look in looks(stared, eye)) for eye in range(4)]
        found.append(tuple(means))
    return Truth(*found)
