"""Known mistakes of the task `radio.helm`."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...readings.light import slept_through
from ...readings.motion import SIDES, motor_phases
from ...readings.radio import moved, stirred
from ...task import Clues, Mistake, mistake
from ..hearing import ENDED, JOINING, evaluated, obeyed_late
from ..orders import SOON_S, Trial
from .helm import (
    END_S,
    SPEED_FULL,
    STRAIGHT,
    HelmOrders,
    Passage,
    ends,
    moved_by,
    obeys,
    radii,
    refuses,
    speeds,
    stands_after,
)

__all__ = ["MISTAKES"]


def _prompt(one: Passage) -> bool:
    """Tell whether it was not slept through."""
    return one.heard.came and one.heard.waited < SOON_S


def _alone(seen: HelmOrders) -> Iterator[Passage]:
    """Go through the orders to move that were taken in time, with no other one running."""
    over: dict[int, float] = {}
    for one in seen.passages:
        free = one.begin > over.get(one.trial.number, 0.0)
        over[one.trial.number] = max(over.get(one.trial.number, 0.0), one.over + END_S)
        if one.asked and free and _prompt(one):
            yield one


def _replacing(seen: HelmOrders) -> Iterator[tuple[Passage, Passage]]:
    """Go through the orders that came while another was running and carried out: (old, new)."""
    for old, new in zip(seen.passages, seen.passages[1:], strict=False):
        if new.trial is old.trial and old.asked and new.begin < old.over - 0.1 and old.obeyed:
            yield old, new


def _duty(trial: Trial, side: str, at: float) -> float:
    """Give the duty of a motor at a time, signed."""
    phases = [p for p in motor_phases(trial.recording, side) if p.begin <= at <= p.end]
    return phases[-1].duty if phases else 0.0


@mistake(
    "seconds and milliseconds mixed up",
    "time.sleep counts in seconds, sleep_ms and ticks_ms in thousandths; and who sleeps hears "
    "nothing: note when the order is over, and look at the clock in every round.",
)
def _endless_wait(seen: HelmOrders) -> Clues:
    for trial in seen.trials:
        length = slept_through(trial.recording)
        if length is not None and length > 100.0:
            yield f"the program began a wait of {length:.0f} s; no order lasts more than 60"


@mistake(
    "ahead and astern exchanged",
    "a speed above 0 is ahead, one below 0 astern: see which input of each motor is high.",
)
def _other_way(seen: HelmOrders) -> Clues:
    for one in _alone(seen):
        if one.went < -0.001:
            yield f"{one.heard.text} made the tug go the other way"


@mistake(
    "slept through an order",
    "who sleeps or waits, in heard or in the loop, hears nothing. Note when the order is over, "
    "with ticks_ms and ticks_add, and look at clock and radio in every round of the loop.",
)
def _slept_through(seen: HelmOrders) -> Clues:
    for old, new in _replacing(seen):
        if not _prompt(new):
            yield (
                f"the order of {new.heard.sent:.1f} s came while that of {old.heard.sent:.1f} s "
                f"was running, and was not taken before {_when(new)}"
            )
        until = min(old.over, new.end)
        on = moved(old.trial.recording, new.begin + SOON_S, until) * old.asked > 0.0
        if on and new.asked * old.asked < 0.0 and _stood(old.trial, old.over):
            yield (
                f"the order of {new.heard.sent:.1f} s came while that of {old.heard.sent:.1f} s "
                "was running, and the tug went on with the old one up to its end"
            )


def _when(one: Passage) -> str:
    return "the end" if one.heard.taken is None else f"{one.heard.taken:.1f} s"


def _stood(trial: Trial, at: float) -> bool:
    """Tell whether the tug stopped or turned round at about a time."""
    before = moved(trial.recording, at - 0.3, at)
    return moved(trial.recording, at + 0.3, at + 0.6) * before <= 0.2 * before * before


@mistake(
    "a stop is not obeyed",
    "a speed of 0 is an order as well: stop the motors at once.",
    costs=[ends],
)
def _no_stop(seen: HelmOrders) -> Clues:
    for _, new in _replacing(seen):
        if not new.asked and _prompt(new):
            late = stands_after(new.trial, new.begin, new.begin + END_S + 0.5)
            if late > END_S:
                yield f"{new.name} asked it to stop, and the tug still went on"


@mistake(
    "stops too late",
    "look in every round of the loop whether the order's time is over; a long wait there, or "
    "wait_msg(), holds it up.",
    costs=[ends],
)
def _stops_late(seen: HelmOrders) -> Clues:
    for one in seen.moves:
        free = one.quiet_until - one.end
        late = stands_after(one.trial, one.end, one.quiet_until)
        if one.obeyed and one.end == one.over and END_S < late < free - 0.1:
            stood = one.end + late
            yield f"{one.name} was over at {one.end:.1f} s, and the tug stood at {stood:.1f} s"


@mistake(
    "motors left on",
    "note when an order is over, and stop in the loop when that time has come; there use "
    "check_msg(), for wait_msg() holds up the loop.",
    costs=[ends],
    explains=[refuses],
)
def _left_on(seen: HelmOrders) -> Clues:
    for one in seen.moves:
        free = one.quiet_until - one.end
        late = stands_after(one.trial, one.end, one.quiet_until)
        if one.obeyed and one.end == one.over and free > END_S and late > free - 0.1:
            yield f"{one.name} was over at {one.end:.1f} s, and the tug went on and on"


@mistake(
    "stops at once",
    "an order's time is in seconds, ticks_ms counts thousandths: 1000 * seconds.",
)
def _too_short(seen: HelmOrders) -> Clues:
    for one in _alone(seen):
        made = one.trial.recording
        began = stirred(made, one.begin, one.begin + 0.5) > 0.0005
        still = not any(_duty(one.trial, side, one.begin + 0.8) for side in SIDES)
        if one.end - one.begin > 1.0 and began and still:
            yield f"{one.name} was over after less than a second"


@mistake(
    "speed taken for an effort",
    "0.2 m/s is no duty of 0.2: effort = rest + gain * speed, with your tug's own two numbers.",
)
def _as_duty(seen: HelmOrders) -> Clues:
    for one in _alone(seen):
        duties = [_duty(one.trial, side, one.begin + SOON_S) for side in SIDES]
        if not one.bend and all(abs(abs(duty) - abs(one.asked)) < 0.005 for duty in duties):
            yield f"{one.heard.text} gave both motors a duty of {abs(duties[0]):.2f}"


@mistake(
    "the speed is not used",
    "the effort of a wheel is its rest plus its gain times the speed that it should have.",
    costs=[speeds],
    explains=[obeys],
)
def _one_speed(seen: HelmOrders) -> Clues:
    some = [one for one in _alone(seen) if one.ratio > 0.2]
    got, asked = [one.ratio * abs(one.asked) for one in some], [abs(one.asked) for one in some]
    if len(some) > 3 and max(got) < 1.06 * min(got) and max(asked) > 1.2 * min(asked):
        yield f"all orders gave about {got[0]:.2f} m/s, though they asked for different speeds"


@mistake(
    "numbers that are not this tug's",
    "measure REST and GAIN of each wheel with measure.py, on this tug, and see that left is left.",
    explains=[obeys, speeds, radii],
)
def _other_numbers(seen: HelmOrders) -> Clues:
    for one in _alone(seen):
        if one.obeyed and not one.bend:
            if abs(one.bent) > STRAIGHT:
                radius = 1 / one.bent
                yield f"{one.heard.text} is straight on, and became a radius of {radius:.2f} m"
            if abs(one.ratio - 1.0) > SPEED_FULL:
                yield f"{one.heard.text} became {one.ratio * one.asked:.3f} m/s"


def _curve(name: str, hint: str, low: float, high: float) -> Mistake:
    """Make the mistake whose curves are all so many times as tight as asked, from low to high."""

    @mistake(name, hint, costs=[radii], explains=[speeds])  # it may lead into a wall
    def look(seen: HelmOrders) -> Clues:
        curves = [one for one in seen.moves if one.bend and one.obeyed]
        if all(low < one.bent / one.bend < high for one in curves):
            for one in curves:
                side = "port" if one.bent > 0 else "starboard"
                far = abs(1 / one.bent) if one.bent else math.inf
                way = f"a radius of {far:.2f} m to {side}" if far < 5 else "a way nearly straight"
                yield f"{one.heard.text} became {way}"

    return look


@mistake(
    "a bad order was carried out",
    "check everything before you do anything, and refuse an order whole.",
    costs=[refuses],
)
def _bad_obeyed(seen: HelmOrders) -> Clues:
    for trial, heard in seen.bad:
        if heard.came and heard.waited < 0.1 and moved_by(trial, heard):
            yield f"{heard.text} moved the tug, and {heard.why}"


@mistake(
    "ran into a wall",
    "the speeds or the radii are far off: measure your tug's numbers again.",
    explains=[speeds, radii],
    sure=False,
)
def _wall(seen: HelmOrders) -> Clues:
    for trial in seen.trials:
        for event in trial.recording.of("touch"):
            if event.what == "wall":
                yield f"the tug came to a wall at {event.seconds:.1f} s"


@mistake(
    "a good order is not carried out",
    "print what you refuse, and why: nothing but a broken rule of the table is a reason.",
    sure=False,
)
def _not_carried_out(seen: HelmOrders) -> Clues:
    for one in _alone(seen):
        if not any(_duty(one.trial, side, one.begin + SOON_S) for side in SIDES):
            yield f"{one.name} was taken, and no motor was driven"


MISTAKES: tuple[Mistake, ...] = (
    ENDED,
    evaluated([refuses]),
    *JOINING,
    _endless_wait,
    _too_short,
    _as_duty,
    _other_way,
    _slept_through,
    _no_stop,
    _left_on,
    _stops_late,
    _curve(
        "the curve goes to the wrong side",
        "a radius above 0 is to port: there the right wheel is the outer, faster one.",
        -9.0,
        -0.3,
    ),
    _one_speed,
    _bad_obeyed,
    _other_numbers,
    _curve(
        "the radius is not used",
        "left: speed * (1 - TRACK / 2 / radius); right: speed * (1 + TRACK / 2 / radius).",
        -0.15,
        0.15,
    ),
    _curve(
        "the curves are too tight",
        "each wheel is half the track away from the middle: TRACK / 2 / radius.",
        1.3,
        9.0,
    ),
    _curve(
        "the curves are too wide",
        "one wheel becomes slower, the other as much faster: 1 - bend and 1 + bend.",
        0.15,
        0.7,
    ),
    obeyed_late(),
    _wall,
    _not_carried_out,
)
