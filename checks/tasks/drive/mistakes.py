"""Known mistakes of the lesson `drive`, with what to try.

The order matters: the first that is found is named.  What leaves no doubt
stands before what is only the likeliest reading.
"""

from __future__ import annotations

from ...task import Mistake
from . import evidence as seen
from . import ways as gone

__all__ = ["CURVE", "SQUARE", "START", "STRAIGHT"]

_PINS = (
    Mistake(
        "wrong pin",
        "left motor: pins 25 (ahead) and 26 (back); right motor: 27 (ahead) and 14 (back).",
        seen.wrong_pin,
    ),
    Mistake(
        "duty in the wrong scale",
        "duty_u16() counts from 0 to 65535: for 40 % write int(0.40 * 65535).",
        seen.wrong_scale,
    ),
    Mistake(
        "the motors are never driven",
        "a motor is driven only while its two inputs differ; give one of them more than the other.",
        seen.never_driven,
    ),
    Mistake(
        "no sleep between start and stop",
        "put a time.sleep(...) between starting the motors and stopping them.",
        seen.no_time,
    ),
    Mistake(
        "PWM frequency too high for fast decay",
        "say freq=1000 when you make the PWM (left out, it is 5000), and use slow decay.",
        seen.too_many_pulses,
    ),
)
_RAISE = "raise that motor's duty by 0.01 at a time until its wheel turns."
_WHEELS = (
    Mistake(
        "below the start duty",
        _RAISE,
        seen.below_start,
    ),
    Mistake(
        "only one side driven",
        "drive both motors; does each PWM stand on the pin that you think?",
        seen.one_side,
    ),
    Mistake(
        "motors left on",
        "to stop, set all four inputs to 0, the two back inputs as well.",
        seen.back_left_on,
    ),
    Mistake(
        "ahead and back swapped",
        "the ahead inputs are pins 25 and 27, the back inputs 26 and 14.",
        seen.astern,
    ),
)
_FIRST = (*_PINS, *_WHEELS)
_OPPOSED = Mistake(
    "one side runs backwards",
    "both motors must turn ahead here: compare the pins and the signs of left and right.",
    seen.opposed,
)
_INVERTED = "slow-decay duty inverted"
_INVERTED_HINT = (
    "with the ahead input high, the duty of the back input is the share of braking: "
    "for an effort of 0.2 give it 1 - 0.2, and to stop give it all."
)
_INVERTED_STOP = Mistake(_INVERTED, _INVERTED_HINT, seen.inverted_stop)
_LEFT_ON = (
    Mistake(
        "motors left on",
        "the program had not come to its end: does a loop go on for ever, or is a wait too long? "
        "time.sleep() takes seconds, time.sleep_ms() thousandths of them.",
        seen.timed_out,
    ),
    Mistake(
        "motors left on",
        "end with lines that stop both motors: PWM goes on after the program has ended.",
        seen.left_on,
    ),
)
_TRIM_HINT = (
    "look in the picture which way it drifts; take a little duty from the wheel on the other "
    "side, run again, and change one number at a time."
)
_TRIM_SIDE_HINT = "change the sign of the trim."
_NO_TRIM = "the faster wheel is not held back"
_WALL = Mistake("ran into the wall", "drive for a shorter time, or with less duty.", gone.wall)

_FAST = "fast decay where slow was asked"
_FAST_HINT = (
    "hold the ahead input high and put the pulses on the back input, so that the motor is "
    "braked between them."
)

START: tuple[Mistake, ...] = (
    *_PINS,
    Mistake(_FAST, _FAST_HINT, seen.stuck_fast),
    *_WHEELS,
    _OPPOSED,
    _INVERTED_STOP,
    Mistake(_INVERTED, _INVERTED_HINT, seen.inverted_creep),
    *_LEFT_ON,
    Mistake(_FAST, _FAST_HINT, seen.fast),
    Mistake(
        "more duty than the wheel needs to start",
        "lower that motor's duty by 0.01 at a time as long as its wheel still starts.",
        seen.more_than_needed,
    ),
    Mistake(
        "driven for the wrong time",
        "let both wheels creep for 2.5 s before the lines that stop them.",
        seen.other_time,
    ),
    Mistake("below the start duty", _RAISE, seen.starts_late),
)

STRAIGHT: tuple[Mistake, ...] = (
    *_FIRST,
    _OPPOSED,
    _INVERTED_STOP,
    *_LEFT_ON,
    Mistake(_NO_TRIM, _TRIM_HINT, gone.no_trim),
    Mistake("trim on the wrong side", _TRIM_SIDE_HINT, gone.wrong_trim),
    Mistake("trim not yet right", _TRIM_HINT, gone.trim_size),
    _WALL,
    Mistake(
        "driven for the wrong time",
        "new time = old time x 1.00 m / distance measured.",
        gone.wrong_length,
    ),
)

CURVE: tuple[Mistake, ...] = (
    *_FIRST,
    _OPPOSED,
    _INVERTED_STOP,
    Mistake(_INVERTED, _INVERTED_HINT, seen.inverted_curve),
    *_LEFT_ON,
    Mistake(
        "no difference between the wheels",
        "on a curve the outer wheel has farther to go: give it more duty than the inner one.",
        gone.no_curve,
    ),
    Mistake(
        "left and right swapped",
        "to port (left) the right wheel is the outer one and must run faster.",
        gone.swapped,
    ),
    Mistake(
        "turned on the spot",
        "let both wheels turn ahead all the way, the outer one faster.",
        gone.on_the_spot,
    ),
    Mistake(
        "radius not yet right",
        "more difference between the two duties makes the circle tighter, less makes it wider.",
        gone.wrong_radius,
    ),
    Mistake(
        "driven for the wrong time",
        "new time = old time x 180 / degrees measured.",
        gone.wrong_arc,
    ),
    Mistake(
        "not one even curve",
        "a circle needs the same two duties from beginning to end. In fast decay the wheels take "
        "unlike times to start, and it begins too straight: take slow decay, or less duty.",
        gone.uneven,
    ),
    _WALL,
)

SQUARE: tuple[Mistake, ...] = (
    *_FIRST,
    Mistake(
        "one side runs backwards",
        "on a side both wheels turn ahead; only in a corner do they turn against each other.",
        gone.spun,
    ),
    _INVERTED_STOP,
    *_LEFT_ON,
    Mistake(
        "both wheels one way at the corners",
        "to turn on the spot let the left wheel run back while the right one runs ahead.",
        gone.no_turn,
    ),
    Mistake(
        "left and right swapped",
        "to turn to port (left) the right wheel runs ahead and the left one back.",
        gone.to_starboard,
    ),
    Mistake(
        "wrong number of sides or turns",
        "four times: a side, then a turn. Is there a loop that counts to 4?",
        gone.count,
    ),
    Mistake(_NO_TRIM, "use the trim that you found for the metre.", gone.square_trim),
    Mistake("trim on the wrong side", _TRIM_SIDE_HINT, gone.square_trim_side),
    Mistake(
        "no rest between the moves",
        "after each move set both efforts to 0 (brake) and wait 0.2 s.",
        gone.runs_on,
    ),
    Mistake("trim not yet right", _TRIM_HINT, gone.square_trim_size),
    Mistake(
        "turns too far or not far enough",
        "new turning time = old one x 90 / degrees measured.",
        gone.turn_size,
    ),
    Mistake(
        "turned about one wheel",
        "on the spot one wheel runs back as fast as the other one runs ahead.",
        gone.pivoted,
    ),
    Mistake(
        "sides of the wrong length",
        "new time of a side = old one x 0.40 m / length measured.",
        gone.side_size,
    ),
    _WALL,
)
