"""Known mistakes of the lesson `arm`, with what to try.

The order matters: the first that is found is named.  What leaves no doubt stands before what is
only the likeliest reading.
"""

from __future__ import annotations

from ...task import Mistake
from . import evidence as seen
from . import knock as struck
from . import ways as gone
from .ways import Look, each

__all__ = ["KNOCK", "PULSES", "SWEEP"]


def _known(name: str, hint: str, look: Look) -> Mistake:
    return Mistake(name, hint, each(look))


_FRAME = "pulse worked out for another frame"
_FRAME_HINT = (
    "the share is pulse / 20 ms, since 50 pulses a second leave 20 ms for each: "
    "1.5 ms is 7.5 %, duty_u16(4915)."
)
_NO_TIME = "no time given to get there"
_NO_TIME_HINT = (
    "after each order sleep until the arm is there (60 degrees take it 0.12 s), "
    "and for as long as it shall stay."
)
_WAITING = "still waiting when the time was up"
_WAITING_HINT = (
    "time.sleep() counts seconds, time.sleep_ms() thousandths; and nothing that stands after a "
    "loop without end is ever done."
)
_MIRRORED = "arm mirrored"
_MIRRORED_HINT = "a longer pulse turns the arm to port: us = 1500 + angle * 1000 / 90."

_FIRST = (
    _known("wrong pin", "the arm's servo hangs on pin 18.", seen.wrong_pin),
    _known(
        "frequency is not 50 Hz",
        "make it with PWM(Pin(18), freq=50, duty_u16=0); left out, the frequency is 5000.",
        seen.wrong_frequency,
    ),
    _known(
        "duty in the wrong scale",
        "1.5 ms is duty_ns(1500000), duty_u16(4915) or duty(77): the number must belong to the "
        "name before it.",
        seen.wrong_scale,
    ),
    _known(_FRAME, _FRAME_HINT, seen.too_long),
    _known(
        "the arm's pin gets no pulses",
        "make a PWM on pin 18 with freq=50 and give it a duty, then sleep.",
        seen.no_pulses,
    ),
)
_PRESSED = _known(
    "pressed on its stop",
    "stay between 1.0 and 2.0 ms; take the order away as soon as you hear the servo hum.",
    seen.pressed,
)
_OUT = _known(
    "the arm is not brought back", "end with the pulse for straight ahead.", gone.left_aside
)

PULSES: tuple[Mistake, ...] = (
    *_FIRST,
    _known(_FRAME, _FRAME_HINT, seen.other_frame),
    _known(_MIRRORED, _MIRRORED_HINT, seen.mirrored),
    _known(
        "wrong pulse for a degree",
        "1000 us are 90 degrees, so one degree is 11.1 us: us = 1500 + angle * 1000 / 90.",
        seen.other_degrees,
    ),
    _PRESSED,
    _known("angles in another order", "first -45 degrees, then 0, then 30.", seen.other_order),
    _known(_NO_TIME, _NO_TIME_HINT, seen.hurried),
    _known(
        "cut off instead of rounded",
        "int() and // cut off; write round(us / 20000 * 1023).",
        seen.cut_off,
    ),
    _known(
        "trim where none was asked",
        "here give the published pulses, 1500 us for straight ahead; the trim comes in task 2.",
        seen.shifted,
    ),
    _known(_WAITING, _WAITING_HINT, gone.still_pulses),
    _known(
        "the third scale was not used", "give the last pulse by arm.duty(...).", seen.not_by_duty
    ),
    _known(
        "another pulse than asked",
        "us = 1500 + angle * 1000 / 90; times 1000 for duty_ns, / 20000 * 65535 for duty_u16, "
        "/ 20000 * 1023 for duty. An order must stand for a second.",
        seen.other_pulse,
    ),
)

SWEEP: tuple[Mistake, ...] = (
    *_FIRST,
    _PRESSED,
    _known(_NO_TIME, _NO_TIME_HINT, gone.no_time),
    _known(_MIRRORED, _MIRRORED_HINT, gone.port_first),
    _known(
        "jumped instead of swept",
        "a servo always goes as fast as it can: give many small orders, and sleep for about 20 ms "
        "after each.",
        gone.jumped,
    ),
    _known(
        "steps too big", "make the steps smaller, 1 or 2 degrees, and the sleeps shorter.",
        gone.big_steps,
    ),
    _known(
        "another angle than asked",
        "45 degrees to either side are 1000 and 2000 us: us = 1500 + angle * 1000 / 90.",
        gone.other_angle,
    ),
    _known(
        "sweep too fast or too slow",
        "seconds for each step = 2 / number of steps.",
        gone.pace,
    ),
    _known(
        "no trim given",
        "measure where the arm stands at 1500 us, and add TRIM to every pulse.",
        gone.trim_left,
    ),
    _known(
        "trim not right",
        "TRIM is this tug's own: if the arm stands to port, make it smaller by 11 us a degree. "
        "The last order must be for 0: range(45, -1, -1) ends there, range(45, 0, -1) at 1.",
        gone.trim_wrong,
    ),
    _known("held for too short a time", "sleep for a second at each end.", gone.short_hold),
    _known(
        "jumped back", "sweep back in small steps too, at the same speed.", gone.jumped_back
    ),
    _known(_WAITING, _WAITING_HINT, gone.still_back),
    _OUT,
    _known(
        "pulses taken away at the end",
        "let the last order stand: without pulses a servo lets go of its place.",
        gone.off_at_the_end,
    ),
)  # fmt: skip

KNOCK: tuple[Mistake, ...] = (
    *_FIRST,
    _PRESSED,
    _known(
        "motors left on", "this task needs no motor; whatever you drive, stop it.", struck.left_on
    ),
    _known(
        "hull ran into the float", "let the tug stand: the float lies within reach of the arm.",
        struck.hull_touch,
    ),
    _known("drove away from the float", "let the tug stand where it was set down.", struck.drove),
    _known(_NO_TIME, _NO_TIME_HINT, gone.no_time),
    _known(
        "swung the wrong way",
        "wind up to starboard, 1000 us; then swing to port, 2000 us.",
        struck.other_way,
    ),
    _known(
        "swing too slow",
        "give the far pulse, 2000 us, as one order: then the servo goes at its full rate.",
        struck.slow_swing,
    ),
    _known(
        "no wind-up", "first to starboard, 1000 us, and wait there for a second.", struck.no_wind_up
    ),
    _known("did not wait", "sleep for a second after the wind-up.", struck.short_wait),
    _known(_WAITING, _WAITING_HINT, struck.still_strike),
    _known(_NO_TIME, _NO_TIME_HINT, struck.cut_short),
    _known("never struck the float", "swing from 1000 to 2000 us.", struck.no_strike),
    _known(
        "swing not far enough",
        "let the arm itself strike, in one order to 2000 us, and give it half a second.",
        struck.short_swing,
    ),
    _known(
        "more than one swing", "one order to port is one swing; leave out the loop.", struck.twice
    ),
    _OUT,
)  # fmt: skip
