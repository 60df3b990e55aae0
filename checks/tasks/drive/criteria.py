"""Tasks of the lesson `drive`: the start duty, a metre straight, a curve, a square."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from robotsim import Recording
from robotsim.show.targets import ArcTarget, LineTarget, PointTarget

from ...readings.bench import needed
from ...readings.motion import SIDES, Way, at_rest, driven, hit_wall, still_driven
from ...task import Criterion, Finding, Run, Task, share
from . import mistakes as known

__all__ = ["TASKS"]

Recordings = Sequence[Recording]

METRE = 1.0
RADIUS = 0.25
SIDE = 0.40
_CORNERS = ((SIDE, 0.0), (SIDE, SIDE), (0.0, SIDE), (0.0, 0.0))
SHORTEST, LONGEST = 2.0, 3.2
"""What is still about 2.5 s; a wheel may take some time to start."""
_TURNING = 0.001
"""Rim speed in m/s above which a wheel counts as turning."""


def _stops(recordings: Recordings) -> Finding:
    """Stands at the end, motors off, without help from a wall."""
    recording = recordings[0]
    asked = "at rest, motors not driven, clear of the walls"
    wall = hit_wall(recording)
    if wall is not None:
        return Finding(0.0, f"ran into the wall at {wall:.1f} s", asked, wall)
    sides = still_driven(recording)
    if sides:
        return Finding(0.0, f"{_motors(sides)} still driven at the end", asked, recording.seconds)
    if not at_rest(recording):
        return Finding(0.0, "still moving at the end", asked, recording.seconds)
    return Finding(1.0, "at rest, motors off", asked)


def _m(value: float, allowed: float) -> str:
    """Give a length in words, to the millimetre where less would hide that it is too long."""
    places = 3 if value > allowed and round(value, 2) <= allowed else 2
    return f"{value:.{places}f} m"


def _motors(sides: Sequence[str]) -> str:
    return "both motors" if len(sides) == 2 else f"the {sides[0]} motor"


# -- drive.start -------------------------------------------------------------


def _turning_s(recording: Recording, side: str) -> float:
    """Give for how many seconds a wheel turned ahead."""
    step = recording.tracks["t"][1]
    return step * sum(speed > _TURNING for speed in recording.tracks[side])


def _both_turn(recordings: Recordings) -> Finding:
    times = {side: _turning_s(recordings[0], side) for side in SIDES}
    got = sum(min(time / SHORTEST, 1.0) for time in times.values()) / 2
    # Who never stops loses for that, and only a little here.
    got *= share(max(times.values()), full=LONGEST, none=12.0)
    measured = ", ".join(f"{side} {time:.1f} s" for side, time in times.items())
    return Finding(got, f"turned ahead: {measured}", "both wheels, for about 2.5 s")


def _lowest(side: str) -> Callable[[Recordings], Finding]:
    def judge(recordings: Recordings) -> Finding:
        recording = recordings[0]
        needs = needed(recording)[side]
        given = max((p.duty for p in driven(recording, side) if p.duty > 0), default=0.0)
        asked = f"moving, and at most 2 % above the {100 * needs:.0f} % at which it starts"
        if _turning_s(recording, side) < 0.2:
            back = min(recording.tracks[side]) < -_TURNING
            got = "ran back" if back else f"stood still with at most {100 * given:.0f} %"
            return Finding(0.0, got, asked)
        part = share(given - needs, full=0.0225, none=0.12)
        return Finding(part, f"got {100 * given:.1f} %", asked)

    return judge


def _creeps(recordings: Recordings) -> Finding:
    recording = recordings[0]
    turning = [side for side in SIDES if _turning_s(recording, side) >= 0.2]
    speeds = {side: max(recording.tracks[side]) for side in turning}
    fastest = max(speeds, key=speeds.__getitem__, default="left")
    speed = speeds.get(fastest, 0.0)
    part = share(speed, full=0.05, none=0.15) * len(turning) / 2
    when = recording.tracks["t"][recording.tracks[fastest].index(max(recording.tracks[fastest]))]
    measured = f"the faster wheel ran at up to {speed:.3f} m/s"
    return Finding(part, measured, "creeping: at most 0.050 m/s", when)


START = Task(
    id="drive.start",
    title="Find the start duty",
    program="start.py",
    runs=(Run(seconds=4.0),),
    criteria=(
        Criterion("Both wheels turn ahead", 3.0, _both_turn, essential=True),
        Criterion("The left wheel gets its start duty", 2.0, _lowest("left")),
        Criterion("The right wheel gets its start duty", 2.0, _lowest("right")),
        Criterion("It creeps", 2.0, _creeps),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=known.START,
)


# -- drive.straight ----------------------------------------------------------


def _makes_way(recordings: Recordings) -> Finding:
    far = max(Way.of(recordings[0]).ahead)
    part = share(0.30 - far, full=0.0, none=0.25)
    return Finding(part, f"came {far:.2f} m ahead", "at least 0.30 m")


def _one_metre(recordings: Recordings) -> Finding:
    asked = "1.00 m ahead, within 0.04 m"
    wall = hit_wall(recordings[0])
    if wall is not None:
        return Finding(0.0, f"ran into the wall at {wall:.1f} s", asked, wall)
    ahead = Way.of(recordings[0]).end[0]
    off = ahead - METRE
    words = f"{_m(abs(off), 0.04)} {'past' if off > 0 else 'short of'} 1.00 m"
    return Finding(share(abs(off), full=0.04, none=0.40), f"ended {words}", asked)


def _straight(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    aside = [abs(port) for port in way.port]
    when = way.when(aside)
    worst = max(aside)
    port = way.port[aside.index(worst)] > 0
    went = min(1.0, max(way.ahead) / (0.9 * METRE))
    part = share(worst, full=0.04, none=0.18) * went
    measured = f"up to {_m(worst, 0.04)} to {'port' if port else 'starboard'} of the line"
    if went < 1.0:
        measured += f", in the {max(way.ahead):.2f} m that it came ahead"
    return Finding(part, measured, "within 0.04 m of the line, for the whole metre", when)


STRAIGHT_FROM = (0.10, 0.40, 0.0)
STRAIGHT = Task(
    id="drive.straight",
    title="One metre straight",
    program="straight.py",
    runs=(Run(seconds=10.0, start=STRAIGHT_FROM),),
    criteria=(
        Criterion("It makes way ahead", 1.0, _makes_way, essential=True),
        Criterion("It goes one metre", 4.0, _one_metre),
        Criterion("It keeps to the line", 4.0, _straight),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=known.STRAIGHT,
    targets=(
        LineTarget((0.10, 0.40), (1.10, 0.40), "one metre", 0.04),
        PointTarget(1.10, 0.40, "stop here", 0.04),
    ),
)


# -- drive.curve -------------------------------------------------------------


def _to_port(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    turned = math.degrees(way.turned[-1])
    measured = f"turned {_turn_words(turned)} and came {way.farthest:.2f} m away"
    part = min(1.0, max(turned, 0.0) / 45) * share(0.20 - way.farthest, full=0.0, none=0.12)
    return Finding(part, measured, "a turn to port, at least 0.20 m away from the start")


def _turn_words(degrees: float) -> str:
    side = "port" if degrees >= 0 else "starboard"
    return f"{abs(degrees):.0f} degrees to {side}"


def _circle(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    off = [math.hypot(ahead, port - RADIUS) - RADIUS for ahead, port in way.points]
    worst = max(off, key=abs)
    half = min(1.0, abs(way.turned[-1]) / math.radians(165))
    radius = way.path / abs(way.turned[-1]) if abs(way.turned[-1]) > 0.1 else math.inf
    mean = f"; its mean radius is {radius:.2f} m" if radius < 10 else ""
    if half < 1.0:
        mean += f"; only {math.degrees(abs(way.turned[-1])):.0f} of 180 degrees of it"
    side = "outside" if worst > 0 else "inside"
    measured = f"up to {_m(abs(worst), 0.04)} {side} the circle{mean}"
    part = share(abs(worst), full=0.04, none=0.15) * half
    asked = "within 0.04 m of the circle of 0.25 m, all the way"
    return Finding(part, measured, asked, way.when([abs(value) for value in off]))


def _half_turn(recordings: Recordings) -> Finding:
    turned = math.degrees(Way.of(recordings[0]).turned[-1])
    part = share(abs(turned - 180), full=8.0, none=70.0)
    return Finding(part, f"turned {_turn_words(turned)}", "180 degrees to port, within 8")


CURVE_FROM = (0.45, 0.15, 0.0)
CURVE = Task(
    id="drive.curve",
    title="Half a circle to port",
    program="curve.py",
    runs=(Run(seconds=10.0, start=CURVE_FROM),),
    criteria=(
        Criterion("It turns to port", 2.0, _to_port, essential=True),
        Criterion("It keeps to the circle", 4.0, _circle),
        Criterion("It turns by half a turn", 3.0, _half_turn),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=known.CURVE,
    targets=(
        ArcTarget((0.45, 0.40), RADIUS, -math.pi / 2, math.pi / 2, "radius 0.25 m", 0.04),
        PointTarget(0.45, 0.65, "stop here", 0.04),
    ),
)


# -- drive.square ------------------------------------------------------------


def _goes_round(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    turned = math.degrees(way.turned[-1])
    part = min(1.0, max(turned, 0.0) / 270) * share(0.40 - way.farthest, full=0.0, none=0.25)
    measured = f"turned {_turn_words(turned)} in all, came {way.farthest:.2f} m away"
    return Finding(part, measured, "round to port, at least 0.40 m away on the way")


def _corners(recordings: Recordings) -> Finding:
    points = Way.of(recordings[0]).points
    first, missed = 0, []
    for corner in _CORNERS:
        far = [math.dist(point, corner) for point in points[first:]]
        missed.append(min(far))
        first += far.index(min(far))
    got = sum(share(miss, full=0.06, none=0.20) for miss in missed) / len(missed)
    words = ", ".join(f"{miss:.2f}" for miss in missed)
    return Finding(got, f"came by the four corners at {words} m", "each within 0.06 m")


def _sides(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    off = [_from_outline(*point) for point in way.points]
    went = min(1.0, way.path / (3.6 * SIDE))
    part = share(max(off), full=0.05, none=0.15) * went
    measured = f"up to {_m(max(off), 0.05)} off the square, {way.path:.2f} m gone"
    return Finding(part, measured, "within 0.05 m of it for its 1.60 m", way.when(off))


def _from_outline(ahead: float, port: float) -> float:
    """Give the distance of a place from the outline of the square, in m."""
    x, y = abs(ahead - SIDE / 2) - SIDE / 2, abs(port - SIDE / 2) - SIDE / 2
    return abs(max(x, y)) if x <= 0 and y <= 0 else math.hypot(max(x, 0.0), max(y, 0.0))


def _closes(recordings: Recordings) -> Finding:
    way = Way.of(recordings[0])
    gap = math.hypot(*way.end)
    went = min(1.0, way.path / (3.6 * SIDE))
    part = share(gap, full=0.06, none=0.25) * went
    measured = f"ended {_m(gap, 0.06)} from where it began"
    if went < 1.0:
        measured += f", after {way.path:.2f} m of 1.60 m"
    return Finding(part, measured, "within 0.06 m")


def _heading_back(recordings: Recordings) -> Finding:
    turned = math.degrees(Way.of(recordings[0]).turned[-1])
    part = share(abs(turned - 360), full=12.0, none=60.0)
    return Finding(part, f"turned {_turn_words(turned)} in all", "360 degrees to port, within 12")


SQUARE_FROM = (0.40, 0.20, 0.0)
SQUARE = Task(
    id="drive.square",
    title="A square that closes",
    program="square.py",
    runs=(Run(seconds=20.0, start=SQUARE_FROM),),
    criteria=(
        Criterion("It goes round to port", 1.0, _goes_round, essential=True),
        Criterion("It comes by the corners", 4.0, _corners),
        Criterion("It keeps to the sides", 2.0, _sides),
        Criterion("It closes", 2.0, _closes),
        Criterion("It heads as it began", 2.0, _heading_back),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=known.SQUARE,
    targets=(
        LineTarget((0.40, 0.20), (0.80, 0.20), "side 1", 0.05),
        LineTarget((0.80, 0.20), (0.80, 0.60), "side 2", 0.05),
        LineTarget((0.80, 0.60), (0.40, 0.60), "side 3", 0.05),
        LineTarget((0.40, 0.60), (0.40, 0.20), "side 4", 0.05),
    ),
)

TASKS: tuple[Task, ...] = (START, STRAIGHT, CURVE, SQUARE)
