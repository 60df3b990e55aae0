"""Known mistakes in the tasks of the lesson `harbour`, in the order of looking."""

from __future__ import annotations

from ...task import Mistake
from ..drive import evidence as driving
from ..line import eyes as seen
from ..radio.mistakes import ENDED, each, joining, late
from . import arm as swung
from . import ways as found
from .told import first_early, leg_early, ready_early, run_early, stopped_too_soon
from .told_mistakes import STOPPED_IS_DONE, tells

__all__ = ["LEG", "READY", "RUN"]

_WAIT = "motors off first; then join, report, and drive only when an order to go has come."
_LISTENS = (
    Mistake("does not wait for the order", _WAIT, each(found.unjoined)),
    *joining(),
    ENDED,
    Mistake(
        "orders for another tug are obeyed",
        "subscribe to your own tug's topic only, letter by letter: + and # take those of others.",
        each(found.stranger),
    ),
    Mistake(
        "a bad order is obeyed",
        "next_order() of wireless.py refuses what is no order; if you have written your own, check "
        "every name, type and limit before you do anything.",
        each(found.bad_obeyed),
    ),
    Mistake(
        "does not wait for the order",
        _WAIT,
        each(found.at_once),
    ),
    Mistake(
        "deaf on the way",
        "look for messages in every round, also while the tug is under way: no loop within the "
        "loop, no long sleep.",
        each(found.deaf),
    ),
    Mistake(
        "does not obey the order to stop",
        "speed 0 means stop at once, whatever the tug is doing: motors off, and the state is "
        "waiting again.",
        each(found.ignores_stop),
    ),
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
        "loop too slow",
        "shorten the sleep: 20 ms a round is enough, and print less.",
        each(found.slow_loop),
    ),
    Mistake(
        "the eyes are not calibrated",
        "call calibrate() once, after the first order to go: before that look() has nothing to "
        "measure by.",
        each(found.not_calibrated),
    ),
    Mistake(
        "correction with the wrong sign",
        "if the line lies to port the right wheel must run faster: drive(E - steer, E + steer).",
        each(found.wrong_sign),
    ),
    Mistake(
        "no time left",
        "raise the effort a little: 0.4 is enough on every tug.",
        each(found.no_time_left),
    ),
    Mistake(
        "loses the line",
        "raise KP a little or lower the effort, and remember on which side the line was last.",
        each(found.lost_line),
    ),
    Mistake(
        "the side mark is taken for the bar",
        "the mark darkens the eyes of one side and the middle, the bar all four; and while three "
        "are dark, keep the last position.",
        each(found.at_side_mark),
    ),
    Mistake(
        "runs over the bar",
        "ask in every round whether all four eyes are dark, and brake in that very round.",
        each(found.over_bar),
    ),
    Mistake(
        "goes on after it was done",
        "behind done comes a state in which nothing more happens.",
        each(found.goes_away),
    ),
    Mistake(
        "motors left on",
        "stop both motors at the bar: PWM goes on by itself.",
        each(found.left_on),
    ),
)

_TOO_SOON = Mistake(
    "the order ends too soon",
    "seconds are seconds: until is ticks_add(ticks_ms(), int(1000 * seconds)).",
    each(stopped_too_soon),
)

READY: tuple[Mistake, ...] = (
    *_LISTENS,
    Mistake(
        "messages wait too long",
        "look for messages at least ten times a second: a short sleep at the end of each round.",
        each(late),
    ),
    Mistake(
        "goes on when its time is over",
        "note when the order ends, and compare with the clock in every round.",
        each(found.runs_on),
    ),
    STOPPED_IS_DONE,
    Mistake(
        "the order ends too soon",
        "seconds are seconds: until is ticks_add(ticks_ms(), int(1000 * seconds)), and done is "
        "reported when that time has come.",
        each(first_early(ready_early)),
    ),
    Mistake(
        "orders to go are not carried out", "a speed above 0 means: drive.", each(found.no_go)
    ),
    Mistake(
        "not straight ahead",
        "give both wheels the same effort, above 0: drive(0.5, 0.5).",
        each(found.crooked),
    ),
    *tells(),
)  # fmt: skip

LEG: tuple[Mistake, ...] = (
    *_LISTENS,
    *_EYES,
    _TOO_SOON,
    Mistake(
        "stops too late at the bar",
        "brake with drive(0, 0) in the very round in which the bar is seen, or lower the effort.",
        each(found.stops_late),
    ),
    Mistake(
        "told done before it was there",
        "done is the last thing: behind the bar, when the tug stands.",
        each(first_early(leg_early)),
    ),
    Mistake(
        "does not go on after a stop",
        "after a stop the state is waiting: the next order to go starts the tug like the first.",
        each(found.goes_not_on),
    ),
    Mistake(
        "goes on when its time is over",
        "note when the order ends, and compare with the clock in every round.",
        each(found.runs_on),
    ),
    *tells(over="stopped"),
)

RUN: tuple[Mistake, ...] = (
    *_LISTENS,
    *_EYES,
    _TOO_SOON,
    Mistake(
        "the arm is not swung",
        "at the bar: arm to the far side, wait, arm to the other side, wait, arm ahead.",
        each(swung.no_swing),
    ),
    Mistake(
        "the arm is on its stop",
        "pulses are 1000 to 2000 us, 50 a second: arm(1000), arm(1500), arm(2000).",
        each(swung.on_its_stop),
    ),
    Mistake(
        "the arm strikes before the tug stands",
        "at the bar first brake and wait until the tug stands, then wind up.",
        each(swung.strikes_moving),
    ),
    Mistake(
        "the swing is too small",
        "from 1000 to 2000 us or back, and 300 ms or more before the next order to the arm.",
        each(swung.small_swing),
    ),
    Mistake(
        "the arm misses the float",
        "brake with drive(0, 0) in the very round in which the bar is seen: the float is within "
        "reach only if the eyes stand on the bar.",
        each(swung.missed),
    ),
    Mistake(
        "winds up on the float's side",
        "the side mark tells where the float lies: remember which outer eye saw it, wind up to the "
        "other side.",
        each(swung.float_side),
    ),
    Mistake(
        "the swing does not wait",
        "an arm needs time: wait a second after each order to it before you give the next.",
        each(swung.no_wait),
    ),
    Mistake(
        "the swing is too slow",
        "one order from the far side to the other, and no small steps between.",
        each(swung.slow_swing),
    ),
    Mistake(
        "the arm is left out",
        "the last order to the arm is 1500, and it needs some time as well.",
        each(swung.left_out),
    ),
    Mistake(
        "told done before it was there",
        "done is the last thing: report it when the arm has swung and is back.",
        each(first_early(run_early)),
    ),
    *tells(),
    Mistake(
        "slow on the line",
        "raise the effort a little at a time, as long as the bar is seen in time.",
        each(found.slow),
    ),
)
