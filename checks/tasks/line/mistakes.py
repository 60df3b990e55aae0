"""Known mistakes of the lesson `line`, with what to try.

The order matters: the first that is found is named.  What leaves no doubt
stands before what is only the likeliest reading.
"""

from __future__ import annotations

from ...task import Mistake
from ..drive import evidence as driving
from . import eyes as seen
from . import ways as went

__all__ = ["CALIBRATE", "FOLLOW", "ONOFF", "STOP"]

_EYES = (
    Mistake(
        "the eyes are not read",
        "the eyes hang on the pins 36, 39, 34 and 35: ADC(Pin(36), atten=ADC.ATTN_11DB).read().",
        seen.each(seen.not_read),
    ),
    Mistake(
        "attenuation not set",
        "without atten=ADC.ATTN_11DB the converter sees 0 to 0.95 V only, and all above is 4095.",
        seen.each(seen.saturated),
    ),
)
_NO_EYE = Mistake(
    "an eye is not read",
    "from port to starboard the eyes hang on the pins 36, 39, 34, 35.",
    seen.each(seen.one_not_read),
)
_MOTORS = (
    Mistake(
        "duty in the wrong scale",
        "duty_u16() counts from 0 to 65535: for 40 % write int(0.40 * 65535).",
        driving.wrong_scale,
    ),
    Mistake(
        "the motors are never driven",
        "a motor is driven only while its two inputs differ; give one of them more than the other.",
        driving.never_driven,
    ),
)
_LEFT_ON = Mistake(
    "motors left on",
    "end with lines that stop both motors: PWM goes on after the program has ended.",
    seen.each(went.left_on),
)
_NO_SLEEP = Mistake(
    "no sleep in the loop",
    "let each round of the loop sleep, say 10 to 40 ms: the tug needs that time to move.",
    seen.each(seen.no_sleep),
)
_ONCE = Mistake(
    "reads once before the loop",
    "a count is what the eye saw at that moment: read the eyes anew in every round of the loop, "
    "and let the round sleep for thousandths of a second, sleep_ms(40).",
    seen.each(seen.read_once),
)

CALIBRATE: tuple[Mistake, ...] = (
    *_EYES,
    _NO_EYE,
    *_MOTORS,
    _NO_SLEEP,
    _ONCE,
    Mistake(
        "counts in the 16-bit scale",
        "report what read() gives, 0 to 4095; read_u16() gives the same on a scale to 65535.",
        seen.each(seen.scale_u16),
    ),
    Mistake(
        "black and white exchanged",
        "much light pulls the voltage down: white gives the low count, black the high one.",
        seen.each(seen.swapped),
    ),
    Mistake(
        "the lists still hold what they began with",
        "white begins at 4095 and black at 0; in each round: white[k] = min(white[k], count), "
        "black[k] = max(black[k], count); print after the swing.",
        seen.each(seen.never_kept),
    ),
    Mistake(
        "the report has not the form agreed",
        'for k from 0 to 3: print("eye", k, "white", white[k], "black", black[k]).',
        seen.each(seen.no_lines),
    ),
    Mistake(
        "same numbers for unequal eyes",
        "keep a lowest and a highest count for each eye: a list of four, not one for all.",
        seen.each(seen.alike),
    ),
    Mistake(
        "eyes in the wrong order",
        "from port to starboard the pins are 36, 39, 34, 35: eye 0 is pin 36, eye 3 pin 35.",
        seen.each(seen.reported_in_wrong_order),
    ),
    Mistake(
        "numbers that were never read",
        "another ink and another tug give other counts: report what was read in this run.",
        seen.each(seen.fixed),
    ),
    Mistake(
        "the swing does not bring every eye over both",
        "let the tug turn on the spot, farther to both sides, and read all the while; if it hardly "
        "stirs, the effort is below its start duty.",
        seen.each(seen.small_swing),
    ),
    Mistake(
        "neither the lowest nor the highest count",
        "in each round: white[k] = min(white[k], count), black[k] = max(black[k], count).",
        seen.each(seen.not_extreme),
    ),
    _LEFT_ON,
    Mistake(
        "does not come back to the line",
        "turn back by what you turned out; or turn until the middle eyes are dark again.",
        seen.each(seen.off_line),
    ),
)

_STANDS = Mistake(
    "it does not set off",
    "below the imports goes the loop: look, decide, drive(left, right), sleep.",
    seen.each(went.stands),
)
_START = (*_EYES, *_MOTORS, _STANDS, _NO_SLEEP, _ONCE)
_LITTLE = Mistake(
    "steers hardly at all",
    "6 mm aside should give a difference that can be seen, 0.2 or more: is KP still 0, or the "
    "position in another unit than mm?",
    seen.each(went.steered_little),
)
_STEERING = (
    Mistake(
        "threshold outside the readings",
        "print what the eyes read: the threshold must lie between white and black, "
        "(white[k] + black[k]) / 2 for each eye.",
        seen.each(went.stuck),
    ),
    Mistake(
        "loop too slow",
        "shorten the sleep and print less: 40 ms a round is enough, 20 ms better.",
        seen.each(seen.slow_loop),
    ),
    Mistake(
        "eyes in the wrong order",
        "from port to starboard the pins are 36, 39, 34, 35: eye 0 is pin 36, eye 3 pin 35.",
        seen.each(went.in_wrong_order),
    ),
    Mistake(
        "correction with the wrong sign",
        "line to port: the right motor must get more than the left one. Change the sign.",
        seen.each(went.wrong_sign),
    ),
)
_LOW = Mistake(
    "gain too low",
    "the tug steers the right way but too little for the bend: steer more for the same error, or "
    "drive slower.",
    seen.each(went.gain_low),
)
_HIGH = Mistake(
    "gain too high",
    "steer less for the same error (half of the gain at which it weaves without end), or add the "
    "derivative, with a plus before KD; a shorter loop helps too.",
    seen.each(went.gain_high),
)
_BIAS = Mistake(
    "same scale for unequal eyes",
    "measure each eye against its own white and black: (count - white[k]) / (black[k] - white[k]).",
    seen.each(went.biased),
)

_ASTRAY = Mistake(
    "led astray by the junction",
    "over the plain line no more than two eyes are dark: while the four add up to more than 2.2, "
    "keep the last position; and divide by their sum.",
    seen.each(went.astray),
)

ONOFF: tuple[Mistake, ...] = (
    *_START,
    *_STEERING,
    _LEFT_ON,
    Mistake(
        "motors left on",
        "let the loop end after 27 s, with ticks_ms() and ticks_diff(), and stop both motors.",
        seen.each(went.goes_on),
    ),
    Mistake(
        "the program ends too soon",
        "ticks_ms() counts thousandths of a second: 27 seconds are 27000 of them; and with a mean "
        "effort below 0.5 the tug needs longer.",
        seen.each(went.ends_early),
    ),
    _LOW,
    _HIGH,
    _BIAS,
)

FOLLOW: tuple[Mistake, ...] = (
    *_START,
    _LITTLE,
    *_STEERING,
    Mistake(
        "on/off steering where proportion was asked",
        "steer by how far the line is off, not only to which side: steer = KP * position.",
        seen.each(went.on_off),
    ),
    _LEFT_ON,
    _HIGH,
    _LOW,
    _ASTRAY,
    _BIAS,
    Mistake(
        "effort too low",
        "drive both wheels harder, a little more each time, as long as it stays smooth.",
        seen.each(went.crawls),
    ),
    Mistake(
        "the program ends too soon",
        "let the eyes end the loop, at the bar where all four are dark, no clock and no count.",
        seen.each(went.ends_early),
    ),
)

STOP: tuple[Mistake, ...] = (
    *_START,
    _LITTLE,
    *_STEERING,
    Mistake(
        "the junction is taken for the bar",
        "at the junction the eyes of one side and the middle are dark; a bar darkens all four.",
        seen.each(went.at_junction),
    ),
    Mistake(
        "motors left on at the bar",
        "leaving the loop does not stop the motors: stop both after it.",
        seen.each(went.left_on),
    ),
    Mistake(
        "runs over the bar",
        "ask in every round whether all four eyes are dark, then stop; if the tug is too fast for "
        "the loop, no round sees it: the bar is only 18 mm wide.",
        seen.each(went.over_bar),
    ),
    Mistake(
        "stops short of the bar",
        "let the eyes end the way, no clock and no count; over the plain line only the middle eyes "
        "are dark, so ask for all four.",
        seen.each(went.stops_early),
    ),
    Mistake(
        "brakes too late",
        "drive slower, look more often, and stop in the very round in which the bar is seen.",
        seen.each(went.coasts),
    ),
    _LOW,
    _HIGH,
    _ASTRAY,
)
