"""Task `arm.knock`: the mistakes that are made in it, and the task itself."""

from __future__ import annotations

import math

from robotsim import make_table
from robotsim.show.targets import BoxTarget

from ...readings.arm import pulses
from ...readings.motion import SIDES, driven
from ...readings.rest import busy
from ...task import Clues, Run, Task, mistake
from ...words import amount
from . import knock_criteria as asked
from . import servo
from .knock_criteria import Knock

__all__ = ["KNOCK"]


@mistake(
    "motors left on", "this task needs no motor; whatever you drive or brake, stop it.",
    costs=[asked.keeps_clear],
)  # fmt: skip
def left_on(seen: Knock) -> Clues:
    for one in seen.trials:
        if on := busy(one.recording):
            yield one.name + on


@mistake(
    "hull ran into the float", "let the tug stand: the float lies within reach of the arm.",
    costs=[asked.keeps_clear], explains=[asked.docks, asked.winds_up, asked.full_swing],
)  # fmt: skip
def hull_touch(seen: Knock) -> Clues:
    for one in seen.trials:
        if one.touched and one.touched[0] == "float":
            yield f"{one.name}the hull touched the float at {one.touched[1]:.2f} s"


@mistake(
    "drove away from the float", "let the tug stand where it was set down.",
    costs=[asked.docks], explains=[asked.keeps_clear],
)  # fmt: skip
def drove(seen: Knock) -> Clues:
    for one in seen.trials:
        if one.hit or not any(driven(one.recording, side) for side in SIDES):
            continue
        x, y, _ = one.recording.end
        went = math.hypot(x - one.recording.tracks["x"][0], y - one.recording.tracks["y"][0])
        yield f"{one.name}the tug drove {100 * went:.0f} cm, and the arm did not meet the float"


@mistake(*servo.NO_TIME, explains=[asked.docks, asked.winds_up, asked.full_swing])
def no_time(seen: Knock) -> Clues:
    for one in seen.trials:
        yield from servo.called_off(one.recording, -1.0, asked.FAR, 0.3)
        if not one.hit:
            yield from servo.called_off(one.recording, 1.0, asked.FAR, 0.15)


@mistake(
    "swung the wrong way", "wind up to starboard, 1000 us; then swing to port, 2000 us.",
    costs=[asked.winds_up], explains=[asked.docks, asked.full_swing],
)  # fmt: skip
def other_way(seen: Knock) -> Clues:
    for one in seen.trials:
        if min(one.track) <= -asked.FAR:
            yield from servo.port_first(one.recording)


@mistake(
    "swing too slow",
    "give the far pulse, 2000 us, as one order: then the servo goes at its full rate.",
    costs=[asked.full_swing], explains=[asked.docks],
)  # fmt: skip
def slow_swing(seen: Knock) -> Clues:
    for one in seen.trials:
        begin, end = one.swings[0] if one.swings else (0.0, 0.0)
        if end - begin > asked.SLOWEST_S:
            yield (
                f"{one.name}the arm took {end - begin:.2f} s for {2 * asked.FAR:.0f} degrees; at "
                f"its full rate it takes {asked.SWING_S:.2f} s"
            )


@mistake(
    "no wind-up", "first to starboard, 1000 us, and wait there for a second.",
    costs=[asked.winds_up], explains=[asked.docks, asked.full_swing],
)  # fmt: skip
def no_wind_up(seen: Knock) -> Clues:
    for one in seen.trials:
        if one.hit and one.lowest > -asked.FAR:
            yield (
                f"{one.name}before it struck, at {one.hit.time:.2f} s, it had been no farther to "
                f"starboard than {amount(max(-one.lowest, 0.0), 0)} degrees"
            )


@mistake("did not wait", "sleep for a second after the wind-up.", costs=[asked.winds_up])
def short_wait(seen: Knock) -> Clues:
    for one in seen.trials:
        if one.hit and 0.0 < one.wound_s < asked.WAIT_S - asked.WAIT_OFF_S:
            yield f"{one.name}it struck after {one.wound_s:.2f} s to starboard"


@mistake(*servo.WAITING, costs=[asked.docks], explains=[asked.full_swing, asked.stowed])
def still_waiting(seen: Knock) -> Clues:
    for one in seen.trials:
        orders, end = pulses(one.recording, 0.0), one.recording.seconds
        if one.hit or not orders:
            continue
        if orders[-1].end >= end > orders[-1].begin > end - 0.5:
            yield f"the last order came at {orders[-1].begin:.2f} s, just before the check ended"
        yield from servo.waiting(one.recording)


@mistake(
    "never struck the float",
    "swing from 1000 to 2000 us.",
    costs=[asked.docks],
    explains=[asked.full_swing],
)
def no_strike(seen: Knock) -> Clues:
    for one in seen.trials:
        if not one.hit:
            low, high = amount(min(one.track), 0), amount(max(one.track), 0)
            yield f"{one.name}the arm moved between {low} and {high} degrees and met nothing"


@mistake(
    "swing not far enough",
    "let the arm itself strike, in one order to 2000 us, and give it half a second.",
    costs=[asked.full_swing], explains=[asked.docks],
)  # fmt: skip
def short_swing(seen: Knock) -> Clues:
    for one in seen.trials:
        if one.hit and max(one.track) < asked.FAR:
            yield f"{one.name}it came no farther to port than {amount(max(one.track), 0)} degrees"


@mistake(
    "more than one swing", "one order to port is one swing; leave out the loop.",
    costs=[asked.full_swing], explains=[asked.docks],
)  # fmt: skip
def twice(seen: Knock) -> Clues:
    for one in seen.trials:
        if len(one.swings) > 1:
            times = ", ".join(f"{begin:.1f}" for begin, _ in one.swings)
            yield f"{one.name}it swung {len(one.swings)} times, at {times} s"


@mistake(
    "the arm is not brought back", "end with the pulse for straight ahead.", costs=[asked.stowed]
)
def left_aside(seen: Knock) -> Clues:
    for one in seen.trials:
        if abs(one.track[-1]) > 6.0:
            yield f"{one.name}it ended at {one.track[-1]:.0f} degrees"


def _berth() -> tuple[BoxTarget, ...]:
    """Give the dock of the table that the lesson shows, as something to draw."""
    dock = make_table("dock").dock
    if dock is None:
        return ()
    left = dock.x - dock.width / 2  # it is entered northwards there
    return (BoxTarget(left, dock.y, dock.width, dock.depth, "in here"),)


KNOCK = Task(
    id="arm.knock",
    title="Knock the float into the dock",
    program="knock.py",
    runs=(Run(5.0, "dock"), Run(5.0, "dock", seed=5)),
    criteria=asked.CRITERIA,
    mistakes=(
        *servo.UNHEARD, servo.pressed([asked.stowed]), left_on, hull_touch, drove, no_time,
        other_way, slow_swing, no_wind_up, short_wait, still_waiting, no_strike, short_swing,
        twice, left_aside,
    ),
    targets=_berth(),
    facts=Knock,
)  # fmt: skip
