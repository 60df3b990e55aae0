"""What a recording says of a voyage by order: when the tug went and stood, and how it ended."""

from __future__ import annotations

import bisect
import math
import statistics
from functools import cached_property
from typing import NamedTuple

from robotsim import Recording, make_table
from robotsim.table import stop_bars

from ...readings.arm import PER_DEG, Strike, angles, between, pulses
from ...readings.motion import SIDES, driven
from ...readings.radio import Heard, wheels
from .. import orders
from ..arm.knock_criteria import FAR
from ..line.trial import Trial as OnLine
from ..trials import where

__all__ = ["CREEP", "GO_S", "HALT_S", "HOME_DEG", "ROLLS", "Step", "Stretch", "Voyage", "Voyages"]

NAMES = frozenset({"speed", "seconds", "number"})
"""The names that an order of this lesson may have."""
GO_S = 1.2
"""How long a tug may take to be under way."""
HALT_S = 0.6
"""How long it may take to stand: an order waits for the next look, then the tug brakes."""
HOME_DEG = 8.0
"""So far from the middle, in degrees, an arm is back: trim (up to 3.6), dead band, slow end."""
ROLLS = 0.03
"""Faster than this, in m/s, a wheel turns; a braked one is below it in 30 ms."""
CREEP = 0.012
"""How far either wheel may come, in m, in a wait of several seconds."""
_EYES_AHEAD = 0.044
"""The row of eyes ahead of the axle, in m (the tug's drawing)."""
_SWUNG_DEG = 12.0
"""Farther from the middle than this an arm is told to swing; trim is up to 3.6 degrees."""


class Step(NamedTuple):
    """A report on an order: what was done, the order's number, when in s."""

    did: str
    number: int | None
    at: float


class Stretch(NamedTuple):
    """A time in which the tug is to stand, in s, and why."""

    begin: float
    end: float
    why: str


class Voyage(orders.Trial, OnLine):
    """One trial: orders by radio, a way along the line, and an arm."""

    def __init__(self, number: int, recording: Recording, name: str) -> None:
        orders.Trial.__init__(self, number, recording, NAMES)
        OnLine.__init__(self, recording, name)

    # -- orders and reports ------------------------------------------------------

    @cached_property
    def goes(self) -> list[Heard]:
        """The orders to go."""
        return [h for h in self.good if h.order and (h.order.speed or 0) > 0]

    @cached_property
    def halts(self) -> list[Heard]:
        """The orders to stop."""
        return [h for h in self.good if h.order and h.order.speed == 0]

    @cached_property
    def steps(self) -> list[Step]:
        """The reports on orders: all but joined and refused."""
        return [
            Step(one.report.did, one.report.number, one.at)
            for one in self.did("started", "done", "stopped")
            if one.report
        ]

    @cached_property
    def done_at(self) -> float | None:
        """When it first reported that its last order to go was done, in s."""
        last = self.goes[-1].order
        assert last
        return next(
            (s.at for s in self.steps if s.did == "done" and s.number == last.number), None
        )

    @cached_property
    def waits(self) -> list[Stretch]:
        """When it is to wait: before it may go, when stopped, and when an order's time is over."""
        found = [Stretch(0.0, self.good[0].since, "before the first order")]
        ends = [*(heard.since for heard in self.good[1:]), self.recording.seconds]
        for heard, end in zip(self.good, ends, strict=True):
            assert heard.order
            if not heard.order.speed:
                begin, why = heard.since, "after the order to stop"
            else:
                begin, why = heard.since + heard.order.seconds, "after the order's time was over"
            if begin + HALT_S < end:
                found.append(Stretch(begin + HALT_S, end, why))
        return found

    # -- wheels ------------------------------------------------------------------

    def rolled_by(self, heard: Heard) -> tuple[float, float]:
        """Give how far the left and right wheel rolled just after an order, in m (ahead > 0)."""
        return wheels(self.recording, heard.since, heard.since + GO_S)

    def efforts(self, heard: Heard) -> tuple[float, float]:
        """Give the mean duty, 1 all ahead, of the left and right motor just after an order."""
        begin, end = heard.since, heard.since + GO_S
        left, right = (
            sum(p.duty * max(0.0, min(p.end, end) - max(p.begin, begin))
                for p in driven(self.recording, side)) / GO_S
            for side in SIDES
        )  # fmt: skip
        return left, right

    def speed_at(self, at: float) -> float:
        """Give the speed of the faster wheel at a time, not signed, in m/s."""
        return max(abs(self.recording.at(side, at)) for side in SIDES)

    def rolled(self, begin: float, end: float) -> float:
        """Give how far a wheel rolled at the most in a stretch of time, to and fro, in m."""
        times = self.recording.tracks["t"]
        first, last = bisect.bisect_left(times, begin), bisect.bisect_right(times, end)
        return times[1] * max(
            sum(map(abs, self.recording.tracks[side][first:last])) for side in SIDES
        )

    def stood(self, stretch: Stretch) -> bool:
        """Tell whether it stood all through a stretch of time."""
        return self.rolled(stretch.begin, stretch.end) < CREEP

    def set_off(self, heard: Heard) -> bool:
        """Tell whether it was under way soon after an order that came; turning counts as well."""
        return heard.came and self.rolled(heard.since, heard.since + GO_S) > CREEP

    @cached_property
    def went_off(self) -> bool:
        """Whether any order set it going."""
        return any(map(self.set_off, self.goes))

    @cached_property
    def driven_from(self) -> float:
        """When a motor was first driven, in s; endless if none ever was."""
        begins = (p.begin for side in SIDES for p in driven(self.recording, side))
        return min(begins, default=math.inf)

    # -- how it ended ------------------------------------------------------------

    @cached_property
    def lost_line(self) -> bool:
        """Whether it left the line before the bar."""
        return self.went.lost is not None and self.went.end is None

    @cached_property
    def bar(self) -> tuple[float, float]:
        """Where the row of eyes ended: past the bar's middle, and beside it, in m.

        The line ends with the bar, so that nothing can be read along it behind that.
        """
        table = self.went.table
        assert table.line
        bar_x, bar_y, way = table.line.at(stop_bars(table)[-1])
        x, y, heading = self.recording.end
        east = x + _EYES_AHEAD * math.cos(heading) - bar_x
        north = y + _EYES_AHEAD * math.sin(heading) - bar_y
        c, s = math.cos(way), math.sin(way)
        return east * c + north * s, abs(north * c - east * s)

    @cached_property
    def seconds(self) -> float | None:
        """From the first order to go to the report that it is done, in s; None if none came."""
        return None if self.done_at is None else self.done_at - self.goes[0].since

    @cached_property
    def aside(self) -> float | None:
        """Mean distance of the row of eyes from the line, in m; None if it never got going."""
        if self.went.begin is None:
            return None
        return statistics.fmean(abs(self.went.aside[k]) for k in self.went.span)

    # -- arm and float -----------------------------------------------------------

    @cached_property
    def docked(self) -> bool:
        """Whether the float ended in the dock."""
        return [event.data[0] for event in self.recording.of("dock")][-1:] == ["in"]

    @cached_property
    def port_side(self) -> bool:
        """Whether float and dock lie to port of the line where it ends."""
        table = make_table(self.recording.table, self.recording.seed)
        assert table.dock and table.line
        *_, way = table.line.at(table.line.length)
        return math.sin(table.dock.heading - way) > 0

    @cached_property
    def hit(self) -> Strike | None:
        """The first touch of the float by an arm that has been told to go to a side.

        In the middle it may brush the float as the tug comes to the bar, by some degrees of trim;
        that is no strike.
        """
        trains = pulses(self.recording)
        aside = (t.begin for t in trains if abs(t.us - 1500.0) > _SWUNG_DEG * PER_DEG)
        first = next(aside, math.inf)
        touches = (e.seconds for e in self.recording.of("touch") if e.data[0] == "arm")
        hits = [at for at in touches if at >= first]
        return Strike(hits[0], len(hits)) if hits else None

    @cached_property
    def to_float(self) -> list[float]:
        """The arm's angles in degrees, those on the float's side positive."""
        side = 1.0 if self.port_side else -1.0
        return [side * angle for angle in angles(self.recording)]

    @cached_property
    def wound_up_s(self) -> float:
        """How long the arm stood on the side away from the float before it struck, in s."""
        until = self.hit.time if self.hit else self.recording.seconds
        before = bisect.bisect_right(self.recording.tracks["t"], until)
        return self.recording.tracks["t"][1] * sum(a <= -FAR for a in self.to_float[:before])

    def arm_home(self, at: float) -> bool:
        """Tell whether the arm was back in the middle at a time in s."""
        return abs(math.degrees(self.recording.at("arm", at))) <= HOME_DEG

    @property
    def arm_at_rest(self) -> float:
        """How far from the middle the arm was in the last half second, signed, in degrees."""
        end = self.recording.seconds
        return max(between(self.recording, end - 0.5, end), key=abs)


class Voyages(orders.ByRadio):
    """The trials of a task of this lesson."""

    names = NAMES

    @cached_property
    def trials(self) -> tuple[Voyage, ...]:
        """The trials."""
        every = self.recordings
        return tuple(Voyage(k, one, where(every, k)) for k, one in enumerate(every))
