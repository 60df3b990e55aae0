"""What a recording says of a harbour run: when it went, stood and reported, and how well."""

from __future__ import annotations

import math
import statistics
from typing import NamedTuple

from robotsim import Recording, make_table
from robotsim.table import stop_bars

from ...readings.arm import PER_DEG, Strike, between, pulses
from ...readings.line import course
from ...readings.motion import SIDES
from ...readings.radio import Heard, orders, said
from ..arm.ways import FAR

__all__ = [
    "CREEP",
    "GO_S",
    "HALT_S",
    "HOME_DEG",
    "QUICK_S",
    "ROLLS",
    "Result",
    "Step",
    "Stretch",
    "arm_home",
    "done_at",
    "goes",
    "halts",
    "port_side",
    "result",
    "rolled_by",
    "set_off",
    "speed_at",
    "steps",
    "stood",
    "straight",
    "struck",
    "waits",
    "went",
    "wound_up_s",
]

GO_S = 0.6
"""How long a tug may take to set off."""
HALT_S = 0.6
"""How long it may take to stand: an order waits for the next look, then the tug brakes."""
_EYES_AHEAD = 0.044
"""The row of eyes ahead of the axle, in m (the tug's drawing)."""
HOME_DEG = 8.0
"""So far from the middle, in degrees, an arm is back: trim (up to 3.6), dead band, slow end."""
_SWUNG_DEG = 12.0
"""Farther from the middle than this an arm is told to swing; trim is up to 3.6 degrees."""
QUICK_S = 14.0
"""From the order to the report that it is done, in s: what earns all."""
ROLLS = 0.03
"""Faster than this, in m/s, a wheel turns; a braked one is below it in 30 ms."""
CREEP = 0.012
"""How far either wheel may come, in m, in a wait of several seconds."""
_ALIKE = 0.4
"""Straight ahead, with the same effort for both, the slower wheel rolls at least so much of the
faster one's way: 0.47 on the worst of 51 tugs, at an effort of 0.25."""


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


class Result(NamedTuple):
    """A harbour run in numbers.

    Attributes:
        docked: Whether the float ended in the dock.
        past: How far past the bar's middle the eyes ended, in m, along the line's way there.
        beside: How far to a side of it they ended, in m.
        seconds: From the order to the report that it is done; None if none came.
        aside: Mean distance of the row of eyes from the line, in m; None if it never got going.
    """

    docked: bool
    past: float
    beside: float
    seconds: float | None
    aside: float | None


def goes(recording: Recording) -> list[Heard]:
    """Give the orders to go."""
    return [h for h in orders(recording) if h.order is not None and (h.order.speed or 0) > 0]


def halts(recording: Recording) -> list[Heard]:
    """Give the orders to stop."""
    return [h for h in orders(recording) if h.order is not None and h.order.speed == 0]


def steps(recording: Recording) -> list[Step]:
    """Give the reports on orders: all but joined and refused."""
    return [
        Step(s.report.did, s.report.number, s.at)
        for s in said(recording)
        if s.report and s.report.did in ("started", "done", "stopped")
    ]


def done_at(recording: Recording) -> float | None:
    """Give when the tug first reported that its last order to go was done, in s."""
    last = goes(recording)[-1].order
    assert last
    return next(
        (s.at for s in steps(recording) if s.did == "done" and s.number == last.number), None
    )


def waits(recording: Recording) -> list[Stretch]:
    """Give the times in which the tug is to wait.

    They are before it may go, when it has been stopped, and when an order's time is over.
    """
    good = [heard for heard in orders(recording) if heard.order is not None]
    found = [Stretch(0.0, good[0].since, "before the first order")]
    for k, heard in enumerate(good):
        assert heard.order
        end = good[k + 1].since if k + 1 < len(good) else recording.seconds
        if not heard.order.speed:
            found.append(Stretch(heard.since + HALT_S, end, "after the order to stop"))
        elif heard.since + heard.order.seconds < end:
            begin = heard.since + heard.order.seconds + HALT_S
            found.append(Stretch(begin, end, "after the order's time was over"))
    return found


def rolled_by(recording: Recording, heard: Heard) -> tuple[float, float]:
    """Give how far the left and the right wheel rolled just after an order, in m (ahead > 0)."""
    step, end = recording.tracks["t"][1], heard.since + 2 * GO_S
    left, right = (
        step * sum(speed for t, speed in zip(recording.tracks["t"], recording.tracks[side],
                                             strict=True) if heard.since <= t <= end)
        for side in SIDES
    )  # fmt: skip
    return left, right


def straight(recording: Recording, heard: Heard) -> bool:
    """Tell whether both wheels rolled ahead alike just after an order."""
    less, more = sorted(rolled_by(recording, heard))
    return less > 0.0 and less >= _ALIKE * more


def speed_at(recording: Recording, at: float) -> float:
    """Give the speed of the faster wheel at a time, not signed, in m/s."""
    return max(abs(recording.at(side, at)) for side in SIDES)


def arm_home(recording: Recording, at: float) -> bool:
    """Tell whether the arm was back in the middle at a time in s."""
    return abs(math.degrees(recording.at("arm", at))) <= HOME_DEG


def went(recording: Recording, stretch: Stretch) -> float:
    """Give how far a wheel rolled at the most in a stretch of time, to and fro, in m."""
    step = recording.tracks["t"][1]
    rolled = [0.0, 0.0]
    for k, side in enumerate(SIDES):
        for t, speed in zip(recording.tracks["t"], recording.tracks[side], strict=True):
            if stretch.begin <= t <= stretch.end:
                rolled[k] += abs(speed) * step
    return max(rolled)


def stood(recording: Recording, stretch: Stretch) -> bool:
    """Tell whether the tug stood all through a stretch of time."""
    return went(recording, stretch) < CREEP


def set_off(recording: Recording, heard: Heard) -> bool:
    """Tell whether a tug was under way soon after an order that came; turning counts as well."""
    soon = Stretch(heard.since, heard.since + 2 * GO_S, "")
    return heard.came and went(recording, soon) > CREEP


def result(recording: Recording) -> Result:
    """Give a harbour run in numbers."""
    docked = [event.data[0] for event in recording.of("dock")][-1:] == ["in"]
    way = course(recording)
    end, first = done_at(recording), goes(recording)[0]
    span = slice(way.span.start, way.span.stop)
    aside = statistics.fmean(map(abs, way.aside[span])) if way.begin is not None else None
    seconds = None if end is None else end - first.since
    return Result(docked, *_past_bar(recording), seconds, aside)


def _past_bar(recording: Recording) -> tuple[float, float]:
    """Give where the row of eyes ended: past the bar's middle, and beside it, in m.

    The line ends with the bar, so that nothing can be read along it behind that.
    """
    table = make_table(recording.table, recording.seed)
    assert table.line
    bar_x, bar_y, way = table.line.at(stop_bars(table)[-1])
    x, y, heading = recording.end
    east = x + _EYES_AHEAD * math.cos(heading) - bar_x
    north = y + _EYES_AHEAD * math.sin(heading) - bar_y
    c, s = math.cos(way), math.sin(way)
    return east * c + north * s, abs(north * c - east * s)


def port_side(recording: Recording) -> bool:
    """Tell whether float and dock lie to port of the line where it ends."""
    table = make_table(recording.table, recording.seed)
    assert table.dock and table.line
    *_, way = table.line.at(table.line.length)
    return math.sin(table.dock.heading - way) > 0


def struck(recording: Recording) -> Strike | None:
    """Give the first touch of the float by an arm that has been told to go to a side.

    In the middle it may brush the float as the tug comes to the bar, by some degrees of trim;
    that is no strike.
    """
    aside = (t.begin for t in pulses(recording) if abs(t.us - 1500.0) > _SWUNG_DEG * PER_DEG)
    first = next(aside, math.inf)
    touches = (event.seconds for event in recording.of("touch") if event.data[0] == "arm")
    hits = [at for at in touches if at >= first]
    return Strike(hits[0], len(hits)) if hits else None


def wound_up_s(recording: Recording) -> float:
    """Give how long the arm stood on the side away from the float before it struck, in s."""
    hit = struck(recording)
    side = -1.0 if port_side(recording) else 1.0
    until = hit.time if hit else recording.seconds
    far = [side * angle >= FAR for angle in between(recording, 0.0, until)]
    return recording.tracks["t"][1] * sum(far)
