"""Task `drive.start`: both wheels as slowly as they can and yet start every time."""

from __future__ import annotations

from functools import cached_property

from ...readings.bench import needed
from ...readings.motion import SIDES, Phase, motor_phases
from ...task import Clues, Criterion, Finding, Run, Task, criterion, mistake, share
from ...words import told_apart
from .. import motors
from ..motors import percent
from .driving import (
    ANY_TASK,
    PULSES,
    Driving,
    below_the_start_duty,
    one_after_the_other,
    one_side_backwards,
    stops,
)

__all__ = ["START"]

SECONDS = 4.0
SHORTEST, LONGEST = 2.0, 3.2
"""What is still about 2.5 s; a wheel may take some time to start."""
OVER, OVER_FULL, OVER_NONE = 0.08, 0.0825, 0.18
"""Duty above the usual start duty: what is asked, with the step in which that is measured, and when
no point is left.  On the stiffest day a wheel needs 0.044 more than usually."""
FAR_OVER = 0.12
"""From here on a card says no more than "far": else one try would tell the answer."""
CREEP, CREEP_NONE = 0.09, 0.20
_TURNING = 0.001
"""Rim speed in m/s above which a wheel counts as turning."""
_MOVED_S = 0.2
_BY_ITSELF = 0.01
"""By so much less duty than the bench needs on the day a wheel certainly does not start alone."""


class Start(Driving):
    """What the recording of a start says."""

    @cached_property
    def turning_s(self) -> dict[str, float]:
        """Side to how long its wheel turned ahead, in s."""
        tracks = self.recording.tracks
        step = tracks["t"][1]
        return {side: step * sum(speed > _TURNING for speed in tracks[side]) for side in SIDES}

    @cached_property
    def over(self) -> dict[str, float]:
        """Side to how much more duty ahead its motor got than its wheel usually needs to start."""
        return {
            side: max((p.duty for p in self.phases[side] if p.duty > 0), default=0.0)
            - self.needed[side]
            for side in SIDES
        }

    def kick(self, side: str) -> Phase | None:
        """Give the jerk, driven harder than asked here, without which a wheel would not have begun.

        That is so where the effort that was held is too small, on this very day, to start it.
        """
        held = [phase for phase in self.phases[side] if phase.duty > 0]
        if not held or not self.moved(side):
            return None
        given, first = max(phase.duty for phase in held), held[0]
        before = motor_phases(self.recording, side, 0.0)
        kicks = [p for p in before if p.begin < first.begin and p.duty > given + _BY_ITSELF]
        if not kicks:
            return None
        alone = needed(self.recording, self.recording.day)[side]
        return kicks[-1] if given < alone - _BY_ITSELF else None

    def moved(self, side: str) -> bool:
        """Tell whether a wheel turned ahead for more than a jerk."""
        return self.turning_s[side] >= _MOVED_S

    def far(self, side: str) -> str:
        """Say how much more than usual a motor got, and not more than a learner may know."""
        over = self.over[side]
        return "far" if over > FAR_OVER else f"{told_apart(over, OVER_FULL)}"


@criterion(
    "Both wheels turn ahead",
    3,
    asks=f"both wheels, for about 2.5 s: {SHORTEST:g} s to {LONGEST:g} s",
    essential=True,
)
def both_turn(seen: Start) -> Finding:
    times = seen.turning_s
    part = sum(min(time / SHORTEST, 1.0) for time in times.values()) / 2
    part *= share(max(times.values()), full=LONGEST, none=6.0)
    measured = ", ".join(f"{side} {time:.1f} s" for side, time in times.items())
    return Finding(part, f"turned ahead: {measured}")


def _start_duty(side: str) -> Criterion:
    @criterion(
        f"The {side} wheel gets its start duty",
        2,
        asks=f"its wheel turns; its highest effort is at most {OVER:.2f} more than it usually "
        "needs to start in slow decay",
    )
    def judge(seen: Start) -> Finding:
        given = seen.over[side] + seen.needed[side]
        if not seen.moved(side):
            back = min(seen.recording.tracks[side]) < -_TURNING
            still = f"stood still with at most {given:.2f}" if given else "stood still"
            return Finding(0.0, "ran back" if back else still)
        if kick := seen.kick(side):
            jerk = f"a jerk of {percent(kick.duty)}, {1000 * kick.seconds:.2f} ms long"
            words = f"got {given:.3f}, which does not start it; it was begun by {jerk}"
            return Finding(0.0, words, at=kick.begin)
        over = seen.over[side]
        part = share(over, full=OVER_FULL, none=OVER_NONE)
        usual = f"within {OVER:.2f} of what it usually needs"
        words = usual if part == 1 else f"{seen.far(side)} above what it usually needs"
        return Finding(part, f"got {given:.3f}, {words}")

    return judge


left_duty, right_duty = map(_start_duty, SIDES)


@criterion("It creeps", 2, asks=f"both wheels, and none faster than {CREEP:.3f} m/s")
def creeps(seen: Start) -> Finding:
    tracks = seen.recording.tracks
    turning = [side for side in SIDES if seen.moved(side)]
    if not turning:
        return Finding(0.0, "no wheel turned ahead")
    fastest = max(turning, key=lambda side: max(tracks[side]))
    speed = max(tracks[fastest])
    part = share(speed, full=CREEP, none=CREEP_NONE) * len(turning) / 2
    words = f"the {fastest} wheel ran at up to {told_apart(speed, CREEP, 3)} m/s"
    return Finding(part, words, at=tracks["t"][tracks[fastest].index(speed)])


stops_by_itself = stops(SECONDS)
_DUTIES = [left_duty, right_duty]


@mistake(
    "fast decay where slow was asked",
    "hold the ahead input high and put the pulses on the back input, so that the motor is braked "
    "between them.",
)
def fast_decay_stands(seen: Start) -> Clues:
    for side in SIDES:
        given = seen.top[side]
        coasts = all(phase.fast for phase in seen.phases[side])
        if seen.needed[side] - 0.01 <= given < 0.4 and coasts and seen.stood(side):
            yield (
                f"between its pulses the {side} motor coasted; so its wheel stood still at "
                f"{percent(given)}, with which it would creep in slow decay"
            )


@mistake(
    "started by a jerk, not by its effort",
    "let no input of a motor be high alone, however shortly: set the back input first, or make all "
    "four PWMs with duty_u16=65535, which brakes. Then find the effort that starts it from rest.",
    explains=_DUTIES,
)
def started_by_a_kick(seen: Start) -> Clues:
    for side in SIDES:
        if kick := seen.kick(side):
            yield (
                f"at {1000 * kick.begin:.2f} ms the {side} motor got {percent(kick.duty)} for "
                f"{1000 * kick.seconds:.2f} ms, before its effort of {percent(seen.top[side])}, "
                "which by itself does not start its wheel"
            )


@mistake(
    fast_decay_stands.name, fast_decay_stands.hint, explains=[creeps, *_DUTIES, both_turn]
)  # fmt: skip
def fast_decay_jumps(seen: Start) -> Clues:
    for side in SIDES:
        if any(phase.fast for phase in seen.phases[side]):
            top = max(seen.recording.tracks[side])
            yield (
                f"between its pulses the {side} motor coasted; so it sticks, then jumps to "
                f"{top:.2f} m/s"
            )


@mistake(
    motors.duty_inverted_at_the_stop.name,
    motors.duty_inverted_at_the_stop.hint,
    costs=[creeps],
    explains=_DUTIES,
)
def duty_inverted(seen: Start) -> Clues:
    for side in SIDES:
        for phase in seen.phases[side]:
            if phase.braked and phase.duty > 0.6 and phase.seconds > 0.1:
                yield (
                    f"the {side} motor was driven for {percent(phase.duty)} of the time where "
                    f"about {percent(1 - phase.duty)} was meant"
                )


@mistake(
    "more duty than the wheel needs to start",
    "lower that motor's duty by 0.01 at a time as long as its wheel still starts.",
    explains=[creeps, *_DUTIES],
)
def more_than_needed(seen: Start) -> Clues:
    side = max(SIDES, key=seen.over.__getitem__)
    if seen.over[side] > OVER_FULL and seen.moved(side):
        far = f"{seen.far(side)} above its usual start"
        yield f"the {side} motor got {percent(seen.top[side])}, {far}"


@mistake(
    "driven for the wrong time",
    "let both wheels creep for 2.5 s before the lines that stop them.",
    costs=[both_turn],
)
def wrong_time(seen: Start) -> Clues:
    for side in SIDES:
        seconds = sum(phase.seconds for phase in seen.phases[side] if phase.duty > 0)
        if 0.02 < seconds < SHORTEST or seconds > LONGEST:
            yield f"the {side} motor was driven for {seconds:.2f} s"


@mistake(below_the_start_duty.name, below_the_start_duty.hint, costs=[both_turn])
def starts_late(seen: Start) -> Clues:
    for side in SIDES:
        speeds = zip(seen.recording.tracks["t"], seen.recording.tracks[side], strict=True)
        begun = next((t for t, speed in speeds if speed > _TURNING), None)
        since = min((p.begin for p in seen.phases[side] if p.duty > 0), default=None)
        if begun is not None and since is not None and begun - since > 0.4:
            yield (
                f"the {side} wheel began to turn {begun - since:.1f} s after its motor was "
                "driven: that duty is hardly enough"
            )


START = Task(
    id="drive.start",
    title="Find the start duty",
    program="start.py",
    runs=(Run(seconds=SECONDS),),
    facts=Start,
    criteria=(both_turn, left_duty, right_duty, creeps, stops_by_itself),
    mistakes=(
        *PULSES,
        fast_decay_stands,
        started_by_a_kick,
        *ANY_TASK[len(PULSES):],
        one_side_backwards,
        one_after_the_other.bound(costs=[both_turn], explains=[stops_by_itself]),
        motors.duty_inverted_at_the_stop.bound(costs=[stops_by_itself],
            explains=[both_turn, creeps, *_DUTIES],
        ),
        duty_inverted,
        motors.not_ended.bound(costs=[stops_by_itself], explains=[both_turn]),
        motors.left_on.bound(costs=[stops_by_itself], explains=[both_turn]),
        fast_decay_jumps,
        more_than_needed,
        wrong_time,
        starts_late,
    ),
)
"""Ten points."""
