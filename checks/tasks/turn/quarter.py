"""Quarter: what is asked in `turn.quarter`: a quarter turn to port, a rest, and back."""

from __future__ import annotations

import math
from collections.abc import Callable

from robotsim import Recording

from ...readings.sensors import Printed, bus, printed, rests
from ...task import Facts, Finding, criterion, share
from ...words import amount, told_apart
from ..motors import switched_off
from .sensing import Judged, each_trial
from .turns import QUARTER, driven_spans, spread, turns_of

__all__ = [
    "CRITERIA",
    "PAUSE_FULL",
    "SECONDS",
    "TURN_FULL",
    "at_each_rest",
    "knows",
    "motors_off",
    "one_number",
    "pause_after",
    "rests_between",
    "to_port",
    "turns_and_reads",
    "turns_back",
]

SECONDS = 10.0
TURN_FULL, TURN_NONE = 2.0, 6.0
KNOWS_FULL, KNOWS_NONE = 2.0, 5.0
LEAST_TURN = 45.0
PAUSE, PAUSE_FULL = 0.50, 0.49
"""How long the motors are left alone between the turns, in s: as asked, and near enough."""
_SAME, _UNLIKE = 0.005, 0.3
"""Printed angles that differ by less, in degrees, are one number; turns that do by more are not."""


@criterion(
    "It turns, and reads the sensor",
    1,
    asks=f"a turn of {LEAST_TURN:g} degrees or more, the sensor read and awake",
    essential=True,
)
@each_trial
def turns_and_reads(recording: Recording) -> Judged:
    """Judge that there is anything to judge."""
    most = _farthest(recording)
    if not any(sample.awake for sample in bus(recording).samples):
        return 0.0, "the rate was never read from a sensor that is awake", None
    return min(most / LEAST_TURN, 1.0), f"turned up to {most:.0f} degrees from the start", None


def _farthest(recording: Recording) -> float:
    """Give the greatest angle from where it began, in degrees, not signed."""
    heads = recording.tracks["heading"]
    return math.degrees(max(abs(heading - heads[0]) for heading in heads))


def _turn(number: int, wanted: float) -> Callable[[Facts], Finding]:
    """Judge one of the two turns by the headings at which the tug rested before and after it."""

    @each_trial
    def judge(recording: Recording) -> Judged:
        stood = rests(recording)
        if len(stood) <= number:
            words = f"it did not come to rest after turn {number}"
            if _farthest(recording) < 5.0:
                words = "it did not turn"
            elif number == 2 and len(stood) == 2:
                words = "it did not turn back and come to rest"
            return 0.0, words, None
        turned = stood[number].heading - stood[number - 1].heading
        off = abs(turned - wanted)
        if number == 2 and len(stood) > 3:
            return 0.0, f"it made {len(stood) - 1} turns in place of two", stood[3].begin
        side = "port" if turned >= 0 else "starboard"
        words = f"turned {amount(abs(turned), 1)} degrees to {side}"
        if TURN_FULL < off < TURN_FULL + 0.1:
            words += f", {told_apart(off, TURN_FULL, 1)} off"
        return share(off, full=TURN_FULL, none=TURN_NONE), words, stood[number].begin

    return judge


to_port = criterion(
    "It turns a quarter to port", 3, asks=f"{QUARTER:g} degrees, within {TURN_FULL:g}"
)(_turn(1, QUARTER))
turns_back = criterion(
    "It turns a quarter back",
    3,
    asks=f"{QUARTER:g} degrees to starboard, within {TURN_FULL:g}, in {SECONDS:g} s for all; "
    "nothing if a third turn follows",
)(_turn(2, -QUARTER))


def at_each_rest(recording: Recording) -> list[tuple[Printed | None, float]]:
    """Give for each of the two turns the last line `turned` of it, and by how much it turned."""
    stood, lines = rests(recording), printed(recording, "turned")
    found = []
    for number in range(1, min(len(stood), 3)):
        begin = (stood[number - 1].end + stood[number].begin) / 2
        until = recording.seconds
        if number + 1 < len(stood):
            until = (stood[number].end + stood[number + 1].begin) / 2
        mine = [line for line in lines if begin <= line.time <= until]
        turned = stood[number].heading - stood[number - 1].heading
        found.append((mine[-1] if mine else None, turned))
    return found


@each_trial
def _agrees(recording: Recording) -> Judged:
    told = at_each_rest(recording)
    if not told:
        return 0.0, "it did not turn and come to rest", None
    got: list[tuple[float, str]] = []
    for number in (1, 2):
        line, turned = told[number - 1] if number <= len(told) else (None, 0.0)
        if line is None:
            got.append((0.0, f"no line `turned ...` after turn {number}"))
            continue
        off = abs(line.value - turned)
        shown = amount(line.value, 1).removesuffix(".0")
        words = f"printed {shown}, it had turned {amount(turned, 1)}"
        got.append((share(off, full=KNOWS_FULL, none=KNOWS_NONE), words))
    return sum(part for part, _ in got) / 2, min(got, key=lambda one: one[0])[1], None


@criterion(
    "It knows how far it turned",
    3,
    asks="after each turn a line `turned ...` with the sum of that turn, to starboard below 0, "
    f"within {KNOWS_FULL:g} degrees of the turn",
)
def knows(seen: Facts) -> Finding:
    """Judge each trial, and refuse one number for all turns on all tugs: that was not added up."""
    words = one_number(seen)
    return Finding(0.0, words) if words else _agrees(seen)


def one_number(seen: Facts) -> str:
    """Tell of one number that came after every turn on every tug; "" if there is none."""
    told = [one for recording in seen.recordings for one in at_each_rest(recording)]
    values = [abs(line.value) for line, _ in told if line]
    turned = [abs(angle) for line, angle in told if line]
    same = len(values) > 2 and spread(values) < _SAME and abs(values[0] - QUARTER) < KNOWS_NONE
    if same and spread(turned) > _UNLIKE:
        words = f"printed {amount(values[0], 1)} after every turn on every tug"
        return f"{words}; they turned by {min(turned):.1f} to {max(turned):.1f}"
    return ""


@criterion(
    "It rests between the turns",
    1,
    asks=f"no motor driven for at least {PAUSE:.1f} s before it turns back (braked is not driven)",
)
@each_trial
def rests_between(recording: Recording) -> Judged:
    """Judge the pause between the first turn, with its corrections, and the way back."""
    pause, at = pause_after(recording)
    part = share(PAUSE - pause, full=PAUSE - PAUSE_FULL, none=PAUSE)
    words = f"rested for {told_apart(pause, PAUSE_FULL)} s" if at else "no second turn came"
    return (part if at else 0.0), words, at


def pause_after(recording: Recording) -> tuple[float, float | None]:
    """Give how long no motor was driven before the turn back, in s, and when that begins.

    A small correction against the first turn ends before the rest after it: where a way back
    follows, it is none.
    """
    turns, stood = turns_of(recording), rests(recording)
    back = next((turn for turn in turns if turn.way != turns[0].way), None)
    if len(stood) > 2:
        way = 1 if stood[1].heading >= stood[0].heading else -1
        later = (turn for turn in turns[1:] if turn.way != way and turn.end > stood[1].end)
        back = next(later, back)
    if back is None:
        return 0.0, None
    driven_till = max(end for begin, end in driven_spans(recording) if begin < back.begin)
    return max(back.begin - driven_till, 0.0), back.begin


@criterion(
    "It switches the motors off", 1, asks="at rest at the end, no motor driven and none braked"
)  # fmt: skip
@each_trial
def motors_off(recording: Recording) -> Judged:
    """Judge the end."""
    return switched_off(recording)


CRITERIA = (turns_and_reads, to_port, turns_back, knows, rests_between, motors_off)
"""Twelve points."""
