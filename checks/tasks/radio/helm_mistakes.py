"""Known mistakes of the task `radio.helm`."""

from __future__ import annotations

from collections.abc import Iterator

from ...readings.light import slept_through
from ...readings.motion import SIDES
from ...readings.radio import moved, stirred
from ...task import Clues, Mistake, mistake
from ..hearing import ENDED, JOINING, evaluated, obeyed_late
from ..motors import left_braked
from ..orders import SOON_S
from .helm import END_S, ends, obeys, radii, refuses, speeds
from .helm_speed_mistakes import SPEED_MISTAKES, alone, duty_of, prompt
from .passages import HelmOrders, Passage, moved_by, stands_after, stopped_by

__all__ = ["MISTAKES"]


def _replacing(seen: HelmOrders) -> Iterator[tuple[Passage, Passage]]:
    """Go through the orders that came while another was running and carried out: (old, new)."""
    for old, new in zip(seen.passages, seen.passages[1:], strict=False):
        if new.trial is old.trial and old.asked and new.begin < old.over - 0.1 and old.obeyed:
            yield old, new


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
    for one in alone(seen):
        if one.went < -0.001:
            yield f"{one.heard.text} made the tug go the other way"


@mistake(
    "slept through an order",
    "who sleeps or waits, in heard or in the loop, hears nothing. Note when the order is over, "
    "with ticks_ms and ticks_add, and look at clock and radio in every round of the loop.",
)
def _slept_through(seen: HelmOrders) -> Clues:
    for old, new in _replacing(seen):
        if not prompt(new):
            yield (
                f"the order of {new.heard.sent:.1f} s came while that of {old.heard.sent:.1f} s "
                f"was running, and was not taken before {_when(new)}"
            )
        if _went_on(old, new) and _turned(old, new):
            yield (
                f"the order of {new.heard.sent:.1f} s came while that of {old.heard.sent:.1f} s "
                f"was running, and was obeyed only when that was over"
            )


@mistake(
    "no other order while one is running",
    "a new order takes the place of the one that is running: set the motors and the end anew, "
    "whether or not the tug is under way.",
    costs=[obeys],
    explains=[speeds, radii, ends],
)
def _shut_out(seen: HelmOrders) -> Clues:
    for old, new in _replacing(seen):
        if prompt(new) and _went_on(old, new) and not _turned(old, new):
            yield (
                f"the order of {new.heard.sent:.1f} s was taken while that of "
                f"{old.heard.sent:.1f} s was running, and never obeyed"
            )


def _went_on(old: Passage, new: Passage) -> bool:
    """Tell whether the tug went on with an order, up to its end, although another had come."""
    made, until = old.trial.recording, min(old.over, new.end)
    on = moved(made, new.begin + SOON_S, until) * old.asked > 0.0
    return on and new.asked * old.asked < 0.0 and moved(made, until - 0.3, until) * old.asked > 0.0


def _turned(old: Passage, new: Passage) -> bool:
    """Tell whether the tug went as the new order says once the old one was over."""
    return moved(old.trial.recording, old.over + 0.2, old.over + 0.7) * new.asked > 0.0


def _when(one: Passage) -> str:
    return "the end" if one.heard.taken is None else f"{one.heard.taken:.1f} s"


@mistake(
    "a stop is not obeyed",
    "a speed of 0 is an order as well: stop the motors at once.",
    costs=[ends],
)
def _no_stop(seen: HelmOrders) -> Clues:
    for _, new in _replacing(seen):
        if not new.asked and prompt(new):
            late = stands_after(new.trial, new.begin, new.begin + END_S + 0.5)
            if late > END_S:
                yield f"{new.name} asked it to stop, and the tug still went on"


def _ends(seen: HelmOrders) -> list[tuple[Passage, float, bool]]:
    """Give the orders whose end was seen to come too late: by how much in s, or if it never did."""
    found = []
    for one in seen.moves:
        following = one.trial.recording.seconds if one.following is None else one.following.since
        late = stands_after(one.trial, one.end, following)
        if one.obeyed and one.end == one.over and late > END_S:
            found.append((one, late, late > following - one.end - 0.02))
    return found


@mistake(
    "the end of the old order holds for the new one",
    "with each new order set its own end, whether or not the one before is over.",
    costs=[ends],
)
def _old_end(seen: HelmOrders) -> Clues:
    for old, new in _replacing(seen):
        late = stands_after(new.trial, new.end, new.quiet_until)
        if new.end == new.over and late > SOON_S and abs(new.end + late - old.over) < 0.2:
            yield (
                f"{new.name} was over at {new.end:.1f} s, and the tug stood at "
                f"{new.end + late:.1f} s, when the one before it would have been over"
            )


@mistake(
    "stops too late",
    "look in every round of the loop whether the order's time is over; a long wait there, or "
    "wait_msg(), holds it up.",
    costs=[ends],
)
def _stops_late(seen: HelmOrders) -> Clues:
    for one, late, on in _ends(seen):
        if not on:
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
    if all(on for *_, on in _ends(seen)):
        for one, *_ in _ends(seen):
            yield f"{one.name} was over at {one.end:.1f} s, and the tug went on and on"


@mistake(
    "stops at once",
    "an order's time is in seconds, ticks_ms counts thousandths: 1000 * seconds.",
)
def _too_short(seen: HelmOrders) -> Clues:
    for one in alone(seen):
        made = one.trial.recording
        began = stirred(made, one.begin, one.begin + 0.5) > 0.0005
        still = not any(duty_of(one.trial, side, one.begin + 0.8) for side in SIDES)
        if one.end - one.begin > 1.0 and began and still:
            yield f"{one.name} was over after less than a second"


@mistake(
    "a bad order was carried out",
    "check everything before you do anything, and refuse an order whole.",
    costs=[refuses],
)
def _bad_obeyed(seen: HelmOrders) -> Clues:
    for trial, heard in seen.bad:
        if heard.came and heard.waited < 0.1 and moved_by(trial, heard):
            yield f"{heard.text} moved the tug, and {heard.why}"
        if heard.came and stopped_by(trial, heard):
            yield f"{heard.text} stopped the tug, and {heard.why}: then it goes on as before"


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
    for one in alone(seen):
        if not any(duty_of(one.trial, side, one.begin + SOON_S) for side in SIDES):
            yield f"{one.name} was taken, and no motor was driven"


MISTAKES: tuple[Mistake, ...] = (
    ENDED,
    evaluated([refuses]),
    *JOINING,
    _endless_wait,
    _too_short,
    _other_way,
    _slept_through,
    _shut_out,
    _no_stop,
    _left_on,
    _old_end,
    _stops_late,
    *SPEED_MISTAKES,
    _bad_obeyed,
    obeyed_late(),
    left_braked.bound(costs=[ends]),
    _wall,
    _not_carried_out,
)
