"""Ways in which a harbour run goes wrong, and how a recording gives them away.

A function gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import bisect
import itertools
import math

from robotsim import Recording, make_table
from robotsim.radio import order_topic
from robotsim.table import stop_bars

from ...readings.line import course
from ...readings.motion import SIDES, at_rest, driven, still_driven
from ...readings.radio import orders, subscriptions, taken
from ..line import eyes as seen
from ..line import ways as ways
from ..radio.mistakes import text_of
from .evidence import (
    CREEP,
    HALT_S,
    QUICK_S,
    ROLLS,
    Stretch,
    done_at,
    goes,
    halts,
    result,
    rolled_by,
    set_off,
    speed_at,
    stood,
    straight,
    waits,
    went,
)

__all__ = [
    "at_once",
    "at_side_mark",
    "bad_obeyed",
    "crooked",
    "deaf",
    "goes_away",
    "goes_not_on",
    "ignores_stop",
    "left_on",
    "lost_line",
    "no_go",
    "no_time_left",
    "not_calibrated",
    "over_bar",
    "runs_on",
    "slow",
    "slow_loop",
    "stops_late",
    "stranger",
    "unjoined",
    "wrong_sign",
]

_LATE_S = 3.0
"""Who comes to the bar so shortly before the end has no time left for what follows there."""
_GONE_ON_M = 0.06
"""Farther from the bar than this, in m, a tug has not just stopped late."""
_LATE_M = 0.020
"""Farther past the bar's middle than this, in m, it was stopped too late."""


# -- orders ------------------------------------------------------------------------


def unjoined(recording: Recording) -> str | None:
    """Moved before it had subscribed."""
    begin = next((at for at, _ in subscriptions(recording)), 0.0)
    far = went(recording, Stretch(0.0, begin, ""))
    return f"a wheel rolled {100 * far:.0f} cm before it had joined" if far > CREEP else None


def at_once(recording: Recording) -> str | None:
    """Moved before the first order."""
    first = waits(recording)[0]
    if stood(recording, first):
        return None
    return f"a wheel rolled {100 * went(recording, first):.0f} cm {first.why}"


def _taken_s(recording: Recording, at: float) -> float | None:
    """Give how long after an arrival the program took a message; None if it never did."""
    times = [e.seconds for e in recording.of("message") if e.stage == "taken"]
    came = [h.at for h in orders(recording) if h.at is not None]
    place = sum(other < at for other in came)
    return times[place] - at if place < len(times) else None


def deaf(recording: Recording) -> str | None:
    """An order to stop that waited on the board, or was never taken."""
    for heard in halts(recording):
        waited = _taken_s(recording, heard.since)
        if not subscriptions(recording) or not taken(recording):
            return None
        if waited is None:
            return f"the order to stop of {heard.sent:.1f} s was never taken from the radio"
        if waited > HALT_S:
            return f"the order to stop of {heard.sent:.1f} s waited {waited:.1f} s on the board"
    return None


def ignores_stop(recording: Recording) -> str | None:
    """Went on after an order to stop."""
    wait = next((w for w in waits(recording) if "to stop" in w.why), None)
    if wait is None or stood(recording, wait):
        return None
    return f"{wait.why} of {halts(recording)[0].sent:.1f} s it went on"


def stranger(recording: Recording) -> str | None:
    """Moved before its first order, and had been sent what was meant for another tug."""
    own = order_topic(recording.serial)
    others = [e for e in recording.of("message") if e.stage == "arrived" and e.topic != own]
    if not others or stood(recording, waits(recording)[0]):
        return None
    return (
        f"at {others[0].seconds:.1f} s an order under {others[0].topic!r} came to it, and it went"
    )


def bad_obeyed(recording: Recording) -> str | None:
    """Took a bad order and drove, for the first time, before the next one came."""
    first = waits(recording)[0]
    begins = [phase.begin for side in SIDES for phase in driven(recording, side)]
    off = min(begins, default=math.inf)
    took = [e.seconds for e in recording.of("message") if e.stage == "taken"]
    for one, following in itertools.pairwise(orders(recording)):
        read = any(one.since <= t < off for t in took)
        if one.order is None and read and one.since < off < min(following.since, first.end):
            return f"{text_of(one)} set it going, and {one.why}"
    return None


def runs_on(recording: Recording) -> str | None:
    """Went on when an order's time was over."""
    for wait in waits(recording):
        if "time was over" in wait.why and not stood(recording, wait):
            return f"{wait.why}, at {wait.begin - HALT_S:.1f} s, a wheel went on turning"
    return None


def goes_not_on(recording: Recording) -> str | None:
    """Went on the first order to go, and not on a later one."""
    first, *later = goes(recording)
    for heard in later:
        if set_off(recording, first) and not set_off(recording, heard):
            return f"after the stop it did not set off again on the order of {heard.sent:.1f} s"
    return None


def crooked(recording: Recording) -> str | None:
    """Set off, but not straight ahead."""
    for heard in goes(recording):
        if set_off(recording, heard) and not straight(recording, heard):
            left, right = (100 * way for way in rolled_by(recording, heard))
            return (
                f"on the order of {heard.sent:.1f} s the left wheel rolled {left:.0f} cm, the "
                f"right one {right:.0f} cm"
            )
    return None


def no_go(recording: Recording) -> str | None:
    """Took the first order to go, and stood."""
    heard = goes(recording)[0]
    if taken(recording) and not set_off(recording, heard):
        return f"the order of {heard.sent:.1f} s was taken, and the wheels stood"
    return None


# -- the way -----------------------------------------------------------------------


def not_calibrated(recording: Recording) -> str | None:
    """Steered the wrong way, and had never turned to both sides: look() is upside down then."""
    way = course(recording)
    begin = way.steering[0] if way.steering else 0
    swing = max(way.turned[: begin + 1]) - min(way.turned[: begin + 1])
    if swing > 0.2 or wrong_sign(recording) is None:
        return None
    return f"it drove off at {way.t[begin]:.1f} s and had not turned to the sides before"


def lost_line(recording: Recording) -> str | None:
    """Left the line before the bar."""
    way = course(recording)
    if way.lost is None or way.end is not None:
        return None
    return (
        f"at {way.t[way.lost]:.1f} s, {way.gone[way.lost]:.2f} m along the line, the row of eyes "
        f"was {100 * abs(way.aside[way.lost]):.0f} cm off it"
    )


def no_time_left(recording: Recording) -> str | None:
    """Following, or just come to the bar, when the time was up."""
    way, end = course(recording), recording.seconds
    if way.lost is not None and way.end is None:
        return None
    there = way.t[way.end] if way.end is not None else math.inf
    if there < end - _LATE_S or way.begin is None or done_at(recording) is not None:
        return None
    if recording.ended != "time is up" or went(recording, Stretch(end - _LATE_S, end, "")) < 0.05:
        return None
    return (
        f"after {end:.0f} s it had come {way.share * way.goal:.2f} of {way.goal:.2f} m, at "
        f"{way.metres / max(way.seconds, 0.1):.2f} m/s"
    )


def at_side_mark(recording: Recording) -> str | None:
    """Stood at the side mark in the end."""
    way = course(recording)
    table = make_table(recording.table, recording.seed)
    mark = next((stroke for stroke in table.prints if stroke.name == "side mark"), None)
    if mark is None or table.line is None or way.end is not None or not at_rest(recording):
        return None
    places = [table.line.nearest(*mark.points[k]) for k in (0, -1)]
    along = min(places, key=lambda place: abs(place.offset)).along
    short = stop_bars(table)[0] - along
    if abs(way.gone[-1] - (way.goal - short)) < 0.04:
        return (
            f"it stood {100 * (way.goal - way.gone[-1]):.0f} cm short of the bar, at the side mark"
        )
    return None


def over_bar(recording: Recording) -> str | None:
    """Went on behind the bar, and had not said that it was there."""
    way, (xs, ys) = course(recording), (recording.tracks[name] for name in ("x", "y"))
    if way.end is None:
        return None
    done = done_at(recording)
    until = len(xs) if done is None else bisect.bisect_right(way.t, done)
    there = xs[way.end], ys[way.end]
    away = max((math.dist(there, place) for place in list(
        zip(xs, ys, strict=True))[way.end : until]), default=0.0)  # fmt: skip
    if away < _GONE_ON_M:
        return None
    return f"it came to the bar at {way.t[way.end]:.1f} s and went on for {100 * away:.0f} cm"


def stops_late(recording: Recording) -> str | None:
    """Stood past the bar."""
    past = result(recording).past
    if course(recording).end is None or not _LATE_M < past < 0.2:
        return None
    return f"the eyes stood {1000 * past:.0f} mm past the bar's middle"


def goes_away(recording: Recording) -> str | None:
    """Stood at the bar, said done, and drove again."""
    at, way = done_at(recording), course(recording)
    if at is None or way.end is None or at < way.t[way.end] or speed_at(recording, at) > ROLLS:
        return None
    if not any(phase.begin > at for side in SIDES for phase in driven(recording, side)):
        return None
    far = went(recording, Stretch(at, recording.seconds, ""))
    if far < 0.03:
        return None
    return f"done was reported at {at:.1f} s; after that a wheel rolled {100 * far:.0f} cm"


def wrong_sign(recording: Recording) -> str | None:
    """Steered away from the line, and lost it or never got under way."""
    way = course(recording)
    kept = way.end is not None or (way.lost is None and way.begin is not None)
    return None if kept else ways.wrong_sign(recording)


def left_on(recording: Recording) -> str | None:
    """Motors driven at the end."""
    sides = still_driven(recording)
    if course(recording).end is None or not sides:
        return None
    return f"{' and '.join(sides)} motor still driven at the end"


def slow(recording: Recording) -> str | None:
    """Too long in all, and most of it on the line."""
    way, seconds = course(recording), result(recording).seconds
    if seconds is None or way.end is None or seconds <= QUICK_S or way.seconds < 0.6 * QUICK_S:
        return None
    return f"on the line it made {way.metres / way.seconds:.2f} m/s, and took {way.seconds:.1f} s"


def slow_loop(recording: Recording) -> str | None:
    """Looked too rarely, and lost the line."""
    return seen.slow_loop(recording) if lost_line(recording) else None
