"""The way to the bar: what is asked of it and of the stop there, and what goes wrong."""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence

from robotsim.table import stop_bars

from ...readings.motion import SIDES, at_rest, driven, still_driven
from ...task import Clues, Criterion, Finding, Mistake, share
from ...words import told_apart
from .. import motors
from ..line import eyes, steering
from ..motors import switched_off
from ..trials import judged, known
from .voyage import ROLLS, Voyage

__all__ = ["NEAR_BAR", "at_bar", "by_the_eyes", "follows", "stops_late"]

NEAR_BAR, FAR_OFF = 0.020, 0.090
"""So far off the bar's middle, in m, earns all, and nothing."""
FIRST_TENTH = 0.9
"""Share of the way that may be missing before nothing is earned for it."""
_LATE_S = 3.0
"""Who comes to the bar so shortly before the end has no time left for what follows there."""
_GONE_ON_M = 0.06
"""Farther from the bar than this, in m, a tug has not just stopped late."""


def follows(one: Voyage) -> Finding:
    """Judge the way along the line, to just before the bar."""
    went = one.went
    if not one.went_off:
        return Finding(0.0, "it never went at all")
    far, there = went.share * went.goal, went.goal - NEAR_BAR
    verb = "lost the line after" if one.lost_line else "came"
    return Finding(
        1.0 if far >= there else share(1 - far / there, full=0.0, none=FIRST_TENTH),
        f"{verb} {told_apart(far, there)} of {went.goal:.2f} m to the bar",
        at=went.t[went.lost] if one.lost_line and went.lost is not None else None,
    )


def _at_bar(one: Voyage) -> Finding:
    past, beside = one.bar
    if max(abs(past), beside) > FAR_OFF:
        return Finding(0.0, f"it ended {math.hypot(past, beside):.2f} m from the bar")
    off, end, at = switched_off(one.recording)
    where = "past" if past > 0 else "short of"
    far = told_apart(1000 * abs(past), 1000 * NEAR_BAR, 0)
    words = f"the eyes ended {far} mm {where} its middle"
    part = share(abs(past), full=NEAR_BAR, none=FAR_OFF) * (0.5 + 0.5 * off)
    return Finding(part, words if off == 1.0 else f"{words}; {end}", at=at if off < 1.0 else None)


def at_bar(points: float) -> Criterion:
    """Make the criterion of the stop at the bar."""
    asks = f"the middle of the row of eyes ends within {1000 * NEAR_BAR:.0f} mm of the bar's middle"
    asks += f", nothing from {1000 * FAR_OFF:.0f} mm on; half of it for motors that are off: "
    asks += "neither driven nor braked (braked is half the way to off)"
    return Criterion("It stops at the bar", points, judged(_at_bar), asks=asks)


# -- what goes wrong -------------------------------------------------------------


@known("loop too slow", "shorten the sleep: 20 ms a round is enough, and print less.")
def _slow_loop(one: Voyage) -> Clues:
    if one.lost_line:
        yield from eyes.blind_rounds(one)


def _steered_away(one: Voyage) -> Clues:
    if one.lost_line or (one.went.end is None and one.went.begin is None):
        yield from steering.away_from_line(one)


@known(
    "the eyes are not calibrated",
    "call calibrate() once, after the first order to go: before that look() has nothing to measure "
    "by.",
)
def _not_calibrated(one: Voyage) -> Clues:
    """It steered the wrong way, and had never turned to both sides: look() is upside down then."""
    way = one.went
    begin = way.steering[0] if way.steering else 0
    before = way.turned[: begin + 1]
    if max(before) - min(before) <= 0.2 and any(_steered_away(one)):
        yield f"it drove off at {way.t[begin]:.1f} s and had not turned to the sides before"


@known("no time left", "raise the effort a little: 0.4 is enough on every tug.")
def _no_time_left(one: Voyage) -> Clues:
    way, end = one.went, one.recording.seconds
    there = way.t[way.end] if way.end is not None else math.inf
    under_way = way.begin is not None and one.rolled(end - _LATE_S, end) >= 0.05
    late = there >= end - _LATE_S and one.done_at is None and not one.lost_line
    if late and under_way and one.recording.ended == "time is up":
        yield (
            f"after {end:.0f} s it had come {way.share * way.goal:.2f} of {way.goal:.2f} m, at "
            f"{way.metres / max(way.seconds, 0.1):.2f} m/s"
        )


@known(
    "loses the line",
    "raise KP a little or lower the effort, and remember on which side the line was last.",
)
def _loses_line(one: Voyage) -> Clues:
    way = one.went
    if one.lost_line and way.lost is not None:
        yield (
            f"at {way.t[way.lost]:.1f} s, {way.gone[way.lost]:.2f} m along the line, the row of "
            f"eyes was {100 * abs(way.aside[way.lost]):.0f} cm off it"
        )


@known(
    "the side mark is taken for the bar",
    "the mark darkens the eyes of one side and the middle, the bar all four; and while three are "
    "dark, keep the last position.",
)
def _at_side_mark(one: Voyage) -> Clues:
    way, table = one.went, one.went.table
    mark = next((stroke for stroke in table.prints if stroke.name == "side mark"), None)
    if mark is None or table.line is None or way.end is not None or not at_rest(one.recording):
        return
    places = [table.line.nearest(*mark.points[k]) for k in (0, -1)]
    short = stop_bars(table)[0] - min(places, key=lambda place: abs(place.offset)).along
    if abs(way.gone[-1] - (way.goal - short)) < 0.04:
        yield (
            f"it stood {100 * (way.goal - way.gone[-1]):.0f} cm short of the bar, at the side mark"
        )


@known(
    "runs over the bar",
    "ask in every round whether all four eyes are dark, and brake in that very round.",
)
def _over_bar(one: Voyage) -> Clues:
    """It went on behind the bar, and had not said that it was there."""
    way = one.went
    if way.end is None:
        return
    until = len(way.t) if one.done_at is None else bisect.bisect_right(way.t, one.done_at)
    places = list(zip(one.recording.tracks["x"], one.recording.tracks["y"], strict=True))
    away = max((math.dist(places[way.end], place) for place in places[way.end : until]), default=0)
    if away >= _GONE_ON_M:
        yield f"it came to the bar at {way.t[way.end]:.1f} s and went on for {100 * away:.0f} cm"


@known("goes on after it was done", "behind done comes a state in which nothing more happens.")
def _goes_away(one: Voyage) -> Clues:
    """It stood at the bar, said done, and drove again."""
    at, way = one.done_at, one.went
    if at is None or way.end is None or at < way.t[way.end] or one.speed_at(at) > ROLLS:
        return
    again = any(phase.begin > at for side in SIDES for phase in driven(one.recording, side))
    if again and (far := one.rolled(at, one.recording.seconds)) >= 0.03:
        yield f"done was reported at {at:.1f} s; after that a wheel rolled {100 * far:.0f} cm"


@known("motors left on", "stop both motors at the bar: PWM goes on by itself.")
def _left_on(one: Voyage) -> Clues:
    if one.went.end is not None and still_driven(one.recording):
        yield switched_off(one.recording)[1]


@known(
    "stops too late at the bar",
    "brake with drive(0, 0) in the very round in which the bar is seen, or lower the effort.",
)
def stops_late(one: Voyage) -> Clues:
    """It stands past the bar."""
    past, _ = one.bar
    if one.went.end is not None and NEAR_BAR < past < 0.2:
        yield f"the eyes stood {1000 * past:.0f} mm past the bar's middle"


def by_the_eyes(at_bar: Criterion, explains: Sequence[Criterion] = ()) -> tuple[Mistake, ...]:
    """Give what goes wrong on the way to the bar and at it.

    Args:
        at_bar: The task's criterion of the stop at the bar.
        explains: What a brake at the end may cost as well.
    """
    return (
        eyes.not_read,
        motors.never_driven,
        _slow_loop,
        _not_calibrated,
        known(
            "correction with the wrong sign",
            "if the line lies to port the right wheel must run faster: "
            "drive(E - steer, E + steer).",
        )(_steered_away),
        _no_time_left,
        _loses_line,
        _at_side_mark,
        _over_bar,
        _goes_away,
        _left_on,
        motors.left_braked.bound(costs=[at_bar], explains=explains),
    )
