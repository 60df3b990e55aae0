"""Known mistakes in the tasks of the lesson `harbour`, and how a recording gives them away."""

from __future__ import annotations

import math

from robotsim import Recording, make_table

from ..driving import still_driven
from ..following import course
from ..hearing import orders, said, subscriptions, taken
from ..swinging import angles, strike
from ..task import Mistake
from . import drive_evidence as driving
from . import line_eyes as seen
from . import line_ways as ways
from .harbour_evidence import (
    HALT_S,
    asked_steps,
    done_at,
    goes,
    halts,
    port_side,
    result,
    set_off,
    steps,
    stood,
    waits,
    went,
    wound_up_s,
)
from .radio_mistakes import REPORT, each, joining, not_announced

__all__ = ["LEG", "READY", "RUN"]

_WAIT_S = 0.45


# -- orders ------------------------------------------------------------------------


def _at_once(recording: Recording) -> str | None:
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


def _deaf(recording: Recording) -> str | None:
    for heard in halts(recording):
        waited = _taken_s(recording, heard.since)
        if not subscriptions(recording) or not taken(recording):
            return None
        if waited is None:
            return f"the order to stop of {heard.sent:.1f} s was never taken from the radio"
        if waited > HALT_S:
            return f"the order to stop of {heard.sent:.1f} s waited {waited:.1f} s on the board"
    return None


def _ignores_stop(recording: Recording) -> str | None:
    wait = next((w for w in waits(recording) if "to stop" in w.why), None)
    if wait is None or stood(recording, wait):
        return None
    return f"{wait.why} of {halts(recording)[0].sent:.1f} s it went on"


def _runs_on(recording: Recording) -> str | None:
    for wait in waits(recording, legs=True):
        if "time was over" in wait.why and not stood(recording, wait):
            return f"{wait.why}, at {wait.begin - HALT_S:.1f} s, a wheel went on turning"
    return None


def _goes_not_on(recording: Recording) -> str | None:
    first, *later = goes(recording)
    for heard in later:
        if set_off(recording, first) and not set_off(recording, heard):
            return f"after the stop it did not set off again on the order of {heard.sent:.1f} s"
    return None


def _no_go(recording: Recording) -> str | None:
    heard = goes(recording)[0]
    if taken(recording) and not set_off(recording, heard):
        return f"the order of {heard.sent:.1f} s was taken, and the wheels stood"
    return None


# -- reports -----------------------------------------------------------------------


def _lacking(recording: Recording) -> str | None:
    if not said(recording):
        return None
    told = {step.did for step in steps(recording)}
    for did, number in asked_steps(recording):
        if did not in told:
            return f"no report says {did!r}; the order had number {number}"
    return None


def _wrong_number(recording: Recording) -> str | None:
    asked = asked_steps(recording)
    for step in steps(recording):
        if (step.did, step.number) not in asked and step.did in {did for did, _ in asked}:
            return f"{step.did!r} at {step.at:.1f} s has number {step.number}"
    return None


def _early(recording: Recording) -> str | None:
    """Told done before it was at the bar."""
    at, way = done_at(recording), course(recording)
    there = way.t[way.end] if way.end is not None else None
    if at is None or (there is not None and at >= there):
        return None
    return f"done was reported at {at:.1f} s, before the tug stood at the bar"


def _early_swing(recording: Recording) -> str | None:
    """Told done before the float was struck."""
    at, hit = done_at(recording), strike(recording)
    if at is None or hit is None or at >= hit.time:
        return _early(recording)
    return f"done was reported at {at:.1f} s, the arm struck at {hit.time:.1f} s"


# -- the way -----------------------------------------------------------------------


def _at_side_mark(recording: Recording) -> str | None:
    way = course(recording)
    table = make_table(recording.table, recording.seed)
    mark = next((stroke for stroke in table.prints if stroke.name == "side mark"), None)
    if mark is None or table.line is None or way.end is not None:
        return None
    places = [table.line.nearest(*mark.points[k]) for k in (0, -1)]
    along = min(places, key=lambda place: abs(place.offset)).along
    bar = table.line.length
    short = bar - along
    if abs(way.gone[-1] - (way.goal - short)) < 0.04:
        return (
            f"it stood {100 * (way.goal - way.gone[-1]):.0f} cm short of the bar, at the side mark"
        )
    return None


def _over_bar(recording: Recording) -> str | None:
    way, (xs, ys) = course(recording), (recording.tracks[name] for name in ("x", "y"))
    if way.end is None or done_at(recording) is not None:
        return None
    there = xs[way.end], ys[way.end]
    away = max(math.dist(there, place) for place in list(zip(xs, ys, strict=True))[way.end :])
    if away < 0.08:
        return None
    return f"it came to the bar, did not say so, and went on for {100 * away:.0f} cm"


def _left_on(recording: Recording) -> str | None:
    sides = still_driven(recording)
    if course(recording).end is None or not sides:
        return None
    return f"{' and '.join(sides)} motor still driven at the end"


def _slow(recording: Recording) -> str | None:
    way, seconds = course(recording), result(recording).seconds
    if seconds is None or way.seconds <= 0 or way.end is None:
        return None
    speed = way.metres / way.seconds
    return f"on the line it made {speed:.2f} m/s" if speed < 0.12 else None


# -- the arm -----------------------------------------------------------------------


def _no_swing(recording: Recording) -> str | None:
    swung = max(angles(recording)) - min(angles(recording))
    if course(recording).end is None or swung > 10.0:
        return None
    return f"it came to the bar, and the arm moved by {swung:.0f} degrees"


def _missed(recording: Recording) -> str | None:
    if course(recording).end is None or strike(recording):
        return None
    past = 1000 * result(recording).past
    return f"the arm met nothing; the eyes stood {abs(past):.0f} mm off the bar's middle"


def _wrong_side(recording: Recording) -> str | None:
    hit = strike(recording)
    if hit is None or wound_up_s(recording) > 0.1:
        return None
    side = 1.0 if port_side(recording) else -1.0
    far = max(side * a for t, a in zip(recording.tracks["t"], angles(recording), strict=True)
              if t <= hit.time + 0.3)  # fmt: skip
    late = min(side * a for t, a in zip(recording.tracks["t"], angles(recording), strict=True)
               if t >= hit.time)  # fmt: skip
    if far > 25.0 and late < -25.0:
        return f"with seed={recording.seed} the float lies on the side to which it wound up"
    return None


def _no_wait(recording: Recording) -> str | None:
    hit = strike(recording)
    if hit is None or wound_up_s(recording) >= _WAIT_S:
        return None
    return f"the arm was {wound_up_s(recording):.2f} s on the far side before it struck"


def _named(name: str) -> Mistake:
    """Give a known mistake of the lesson before by its name."""
    return next(mistake for mistake in REPORT if mistake.name == name)


_LISTENS = (
    Mistake(
        "does not wait for the order",
        "motors off first; then join, report, and drive only when an order to go has come.",
        each(_at_once),
    ),
    Mistake(
        "deaf on the way",
        "look for messages in every round, also while the tug is under way: no loop within the "
        "loop, no long sleep.",
        each(_deaf),
    ),
    Mistake(
        "does not obey the order to stop",
        "speed 0 means stop at once, whatever the tug is doing: motors off, and the state is "
        "waiting again.",
        each(_ignores_stop),
    ),
)
_TELLS = (
    Mistake(
        "the wrong number",
        "keep the number of the order that you carry out, and give it back.",
        each(_wrong_number),
    ),
    Mistake(
        "a step is not reported",
        "report where the state changes: started, stopped, done.",
        each(_lacking),
    ),
    _named("a report again and again"),
    Mistake(
        "refusals are not reported",
        "where you catch the exception, report refused and str(fault) as why.",
        _named("refusals are not reported").look,
    ),
    _named("did not say that it is there"),
)
_EYES = (
    Mistake(
        "the eyes are not read",
        "the eyes hang on the pins 36, 39, 34 and 35: ADC(Pin(36), atten=ADC.ATTN_11DB).read().",
        seen.each(seen.not_read),
    ),
    Mistake(
        "the motors are never driven",
        "a motor is driven only while its two inputs differ.",
        driving.never_driven,
    ),
    Mistake(
        "correction with the wrong sign",
        "if the line lies to port the right wheel must run faster: drive(E - steer, E + steer).",
        seen.each(ways.wrong_sign),
    ),
    Mistake(
        "the side mark is taken for the bar",
        "the mark darkens the eyes of one side and the middle, the bar all four; and while three "
        "are dark, keep the last position.",
        each(_at_side_mark),
    ),
    Mistake(
        "runs over the bar",
        "ask in every round whether all four eyes are dark, and brake in that very round.",
        each(_over_bar),
    ),
    Mistake(
        "motors left on",
        "stop both motors at the bar: PWM goes on by itself.",
        each(_left_on),
    ),
)

READY: tuple[Mistake, ...] = (
    *joining(),
    *_LISTENS,
    Mistake(
        "goes on when its time is over",
        "note when the order ends, and compare with the clock in every round.",
        each(_runs_on),
    ),
    Mistake(
        "orders to go are not carried out", "a speed above 0 means: drive.", each(_no_go)
    ),
    *_TELLS,
    Mistake(
        "did not say that it is there",
        'report {"did": "joined"} once, after subscribing.',
        each(not_announced),
    ),
)  # fmt: skip

LEG: tuple[Mistake, ...] = (
    *joining(),
    *_LISTENS,
    *_EYES,
    Mistake(
        "does not go on after a stop",
        "after a stop the state is waiting: the next order to go starts the tug like the first.",
        each(_goes_not_on),
    ),
    Mistake(
        "told done before it was there",
        "done is the last thing: behind the bar, when the tug stands.",
        each(_early),
    ),
    *_TELLS,
)

RUN: tuple[Mistake, ...] = (
    *joining(),
    *_LISTENS,
    *_EYES,
    Mistake(
        "told done before it was there",
        "done is the last thing: report it when the arm has swung.",
        each(_early_swing),
    ),
    Mistake(
        "the arm is not swung",
        "at the bar: arm to the far side, wait, arm to the other side, wait, arm ahead.",
        each(_no_swing),
    ),
    Mistake(
        "the arm misses the float",
        "brake with drive(0, 0) in the very round in which the bar is seen: the float is within "
        "reach only if the eyes stand on the bar.",
        each(_missed),
    ),
    Mistake(
        "winds up on the float's side",
        "the side mark tells where the float lies: remember which outer eye saw it, wind up to the "
        "other side.",
        each(_wrong_side),
    ),
    Mistake(
        "the swing does not wait",
        "an arm needs time: wait a second after each order to it before you give the next.",
        each(_no_wait),
    ),
    *_TELLS,
    Mistake(
        "slow on the line",
        "raise the effort a little at a time, as long as the bar is seen in time.",
        each(_slow),
    ),
)
