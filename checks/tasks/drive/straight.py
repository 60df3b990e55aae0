"""Task `drive.straight`: one metre straight ahead."""

from __future__ import annotations

import math

from robotsim.show.targets import LineTarget, PointTarget

from ...readings.bench import faster_side
from ...readings.motion import SIDES, Way
from ...task import Clues, Evidence, Finding, Run, Task, criterion, mistake, share
from ...words import told_apart
from .. import motors
from ..motors import percent
from .driving import ANY_TASK, Driving, one_after_the_other, one_side_backwards, stops

__all__ = ["STRAIGHT", "TRIM_HINT", "TRIM_SIDE_HINT", "ran_into_the_wall"]

METRE = 1.0
SECONDS = 10.0
ENDS_WITHIN, ENDS_NONE = 0.04, 0.80
LINE_WITHIN, LINE_NONE = 0.05, 0.18
"""In m: three times what days move the end of a metre by time, along (9 mm) and across (15 mm)."""
LEAST_AHEAD = 0.30
X, Y = 0.10, 0.40
"""Where it starts, in m."""


class Straight(Driving):
    """What the recording of a metre says."""

    @property
    def gone(self) -> float:
        """How far from its start it came to rest, or to a wall, in m."""
        return math.hypot(*Way.of(self.recording, self.wall).end)

    @property
    def drifted(self) -> bool:
        """Whether it left the line by what costs points, before any wall, both motors driven."""
        aside = max(map(abs, Way.of(self.recording, self.wall).port))
        return aside > LINE_WITHIN and not self.by_turns

    @property
    def drift(self) -> float:
        """By how much more the left wheel rolled than the right one, in m, up to a wall."""
        return self.rolled["left"] - self.rolled["right"]

    @property
    def longer(self) -> str:
        """The side whose wheel rolled farther."""
        return "left" if self.drift > 0 else "right"


@criterion("It makes way ahead", 1, asks=f"at least {LEAST_AHEAD:.2f} m ahead", essential=True)
def makes_way(seen: Straight) -> Finding:
    far = max(seen.way.ahead)
    return Finding(share(LEAST_AHEAD - far, full=0.0, none=0.25), f"came {far:.2f} m ahead")


@criterion(
    "It goes one metre",
    4,
    asks=f"{METRE:.2f} m from its start, within {ENDS_WITHIN:.2f} m, in {SECONDS:g} s",
)
def goes_a_metre(seen: Straight) -> Finding:
    off = seen.gone - METRE
    if seen.wall is not None and off > 0:
        return Finding(0.0, f"did not stop before the wall, at {seen.wall:.1f} s", at=seen.wall)
    part = share(abs(off), full=ENDS_WITHIN, none=ENDS_NONE)
    words = f"{told_apart(abs(off), ENDS_WITHIN)} m {'past' if off > 0 else 'short of'} 1.00 m"
    where = "ended" if seen.wall is None else "met a wall"
    return Finding(part, f"{where} {words}", at=seen.wall)


@criterion(
    "It keeps to the line",
    4,
    asks=f"never more than {LINE_WITHIN:.2f} m to either side of it, for the whole metre",
)
def keeps_to_the_line(seen: Straight) -> Finding:
    aside = [abs(port) for port in seen.way.port]
    worst, ahead = max(aside), max(seen.way.ahead)
    side = "port" if seen.way.port[aside.index(worst)] > 0 else "starboard"
    went = min(1.0, ahead / (0.9 * METRE))
    part = share(worst, full=LINE_WITHIN, none=LINE_NONE) * went
    measured = f"up to {told_apart(worst, LINE_WITHIN)} m to {side} of the line"
    if went < 1.0:
        measured += f", in the {ahead:.2f} m that it came ahead"
    return Finding(part, measured, at=seen.way.when(aside))


stops_by_itself = stops(SECONDS)
TRIM_HINT = (
    "look in the picture which way it drifts; take a little duty from the wheel on the other "
    "side, run again, and change one number at a time."
)
TRIM_SIDE_HINT = "change the sign of the trim."
_DRIFT_TOO = [goes_a_metre, stops_by_itself]
"""What a drift may cost beside the line."""


@mistake(
    "one motor is driven longer than the other",
    "start both motors one right after the other, then one sleep, then stop both.",
    costs=[keeps_to_the_line],
    explains=_DRIFT_TOO,
)
def unequal_times(seen: Straight) -> Clues:
    left, right = (seen.driven_s[side] for side in SIDES)
    longer = "left" if left > right else "right"
    if seen.drifted and abs(left - right) > 0.05 and seen.longer == longer:
        yield f"the left motor was driven for {left:.2f} s and the right one for {right:.2f} s"


@mistake(
    "the faster wheel is not held back", TRIM_HINT, costs=[keeps_to_the_line], explains=_DRIFT_TOO
)
def no_trim(seen: Straight) -> Clues:
    if seen.drifted and not seen.more and seen.longer == faster_side(seen.recording.serial):
        yield Evidence(
            f"both motors got {percent(seen.duty['left'])}, but the {seen.longer} wheel rolled "
            f"{abs(seen.drift):.3f} m farther",
            _hold_back(seen),
        )


def _more(seen: Straight) -> str:
    more, less = sorted((abs(seen.duty[side]) for side in SIDES), reverse=True)
    return f"the {seen.more} motor got {100 * more:.1f} % duty, the other {100 * less:.1f} %"


def _hold_back(seen: Straight) -> str:
    return (
        f"take a little duty from the {seen.longer} motor, run again, and change one number at a "
        "time."
    )


@mistake("trim on the wrong side", TRIM_SIDE_HINT, costs=[keeps_to_the_line], explains=_DRIFT_TOO)
def trim_on_the_wrong_side(seen: Straight) -> Clues:
    faster = faster_side(seen.recording.serial)
    if seen.drifted and seen.more and seen.more == faster == seen.longer:
        yield f"{_more(seen)}, yet at equal duties it is the faster one: the drift grew"


@mistake("trim not yet right", TRIM_HINT, costs=[keeps_to_the_line], explains=_DRIFT_TOO)
def trim_not_yet_right(seen: Straight) -> Clues:
    if seen.drifted and seen.more:
        word = "too much" if seen.longer == seen.more else "too little"
        yield Evidence(
            f"{_more(seen)}, which is {word}: the {seen.longer} wheel still rolled "
            f"{abs(seen.drift):.3f} m farther",
            _hold_back(seen),
        )


@mistake(
    "the two wheels do not roll equally far",
    "give both motors the same kind and number of pulses, and start and stop them together.",
    sure=False,
    costs=[keeps_to_the_line],
    explains=_DRIFT_TOO,
)
def wheels_unlike(seen: Straight) -> Clues:
    if seen.drifted:
        yield f"the {seen.longer} wheel rolled {abs(seen.drift):.3f} m farther"


@mistake(
    "ran into the wall",
    "drive for a shorter time, or with less duty.",
    costs=[stops_by_itself],
    explains=[goes_a_metre],
)
def ran_into_the_wall(seen: Driving) -> Clues:
    """A wall was run into."""
    if seen.wall is not None:
        yield f"it came to the wall at {seen.wall:.1f} s"


@mistake(
    "driven for the wrong time",
    "new time = old time x 1.00 m / distance measured.",
    costs=[goes_a_metre],
    explains=[makes_way, keeps_to_the_line],
)
def wrong_time(seen: Straight) -> Clues:
    off = seen.gone - METRE
    if seen.wall is None and abs(off) > ENDS_WITHIN:
        word = "past" if off > 0 else "short of"
        yield (
            f"it drove for {seen.driven_s['left']:.2f} s and ended {abs(off):.2f} m {word} the "
            "metre"
        )


_ALL = [makes_way, goes_a_metre, keeps_to_the_line]
STRAIGHT = Task(
    id="drive.straight",
    title="One metre straight",
    program="straight.py",
    runs=(Run(seconds=SECONDS, start=(X, Y, 0.0)),),
    facts=Straight,
    criteria=(makes_way, goes_a_metre, keeps_to_the_line, stops_by_itself),
    mistakes=(
        *ANY_TASK,
        one_side_backwards,
        one_after_the_other.bound(costs=[keeps_to_the_line], explains=[*_ALL, stops_by_itself]),
        motors.duty_inverted_at_the_stop.bound(costs=[stops_by_itself], explains=_ALL),
        motors.not_ended.bound(costs=[stops_by_itself], explains=_ALL),
        motors.left_on.bound(costs=[stops_by_itself], explains=_ALL),
        unequal_times,
        no_trim,
        trim_on_the_wrong_side,
        trim_not_yet_right,
        wheels_unlike,
        ran_into_the_wall,
        wrong_time,
    ),
    targets=(
        LineTarget((X, Y), (X + METRE, Y), "one metre", LINE_WITHIN),
        PointTarget(X + METRE, Y, "stop here", ENDS_WITHIN),
    ),
)
"""Ten points."""
