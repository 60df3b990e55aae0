"""Known mistakes of the lesson `turn`, with what to try.

The order matters: the first that is found is named.  What leaves no doubt stands before what is
only the likeliest reading.
"""

from __future__ import annotations

from ...readings.sensors import PER_DEG, Sample
from ...task import Mistake
from . import evidence as seen
from . import rates as rates
from . import replay as replay
from . import ways as ways

__all__ = ["IDENTIFY", "QUARTER", "RATE"]


def _unsigned(sample: Sample) -> float:
    return sample.unsigned


def _half(sample: Sample) -> float:
    return sample.unsigned - 32768 if sample.unsigned >= 32768 else sample.unsigned


def _one_short(sample: Sample) -> float:
    return sample.unsigned - 65535 if sample.unsigned >= 32768 else sample.unsigned


def _unsigned_size(sample: Sample) -> float:
    return abs(sample.raw)


def _swapped(sample: Sample) -> float:
    return sample.swapped


def _swapped_unsigned(sample: Sample) -> float:
    return sample.low << 8 | sample.high


def _high(sample: Sample) -> float:
    return sample.high


def _low(sample: Sample) -> float:
    return sample.low


_NO_SIGN = "two's complement forgotten"
_NO_SIGN_HINT = "after `raw = 256 * high + low`: if raw is 32768 or more, take 65536 from it."
_SWAPPED = "bytes swapped"
_SWAPPED_HINT = "the byte from the lower register, 0x47, is the high one: 256 * high + low."
_SCALE = "scale of another range"
_SCALE_HINT = "as long as you do not write to register 0x1B, divide the raw number by 131."
_RADIANS = "degrees and radians mixed"
_RADIANS_HINT = "131 counts are one degree a second: everything here is in degrees."
_CLOCK = "turned by the clock"
_CLOCK_HINT = (
    "inside the loop read the rate and add rate x time to the angle; stop when the angle is "
    "there, not when a time is over."
)
_BIAS = "gyro bias left in"
_BIAS_HINT = (
    "while the tug stands still, take the mean of 100 readings; then take that mean off every "
    "reading. Each tug has its own."
)

_FIRST = (
    Mistake(
        "nothing read from the sensor",
        "the sensor answers at address 0x68 on SCL 22 and SDA 21: "
        "bus.readfrom_mem(0x68, register, count).",
        seen.never_read,
    ),
    Mistake(
        "sensor still asleep",
        "write 0 to register 0x6B first: bus.writeto_mem(0x68, 0x6B, bytes([0])).",
        seen.asleep,
    ),
    Mistake(
        "wrong axis",
        "a turn on the table is a turn about z: registers 0x47 (high byte) and 0x48 (low byte).",
        seen.axis,
    ),
    Mistake(
        "only one of the two bytes read",
        "ask for 2 bytes: bus.readfrom_mem(0x68, 0x47, 2).",
        seen.half_read,
    ),
    Mistake(
        "rate asked of the wrong register",
        "the rate stands in 0x47 and 0x48; without the 0x in front, 47 is another drawer.",
        seen.elsewhere,
    ),
)
_LEFT_ON = Mistake(
    "motors left on",
    "end with lines that set all four motor pins to 0: PWM goes on after the program has ended.",
    seen.left_on,
)
_STANDS = "the tug does not turn"
_STANDS_HINT = (
    "one wheel back, the other ahead: motor(left_ahead, left_back, -0.4) and "
    "motor(right_ahead, right_back, 0.4)."
)
_RANGE = Mistake(
    "faster than the sensor's range",
    "turn more slowly: an effort of 0.4 keeps every tug below 250 degrees a second.",
    seen.full_range,
)

IDENTIFY: tuple[Mistake, ...] = (
    *_FIRST[:1],
    Mistake(
        "identity asked of the wrong register",
        "the identity stands in register 0x75; 0x68 is the sensor's address on the bus.",
        seen.identity_register,
    ),
    *_FIRST[1:],
    Mistake(
        "printed before it was read",
        "first read register 0x75, then print the byte that came.",
        seen.told_early,
    ),
    Mistake(_SWAPPED, _SWAPPED_HINT, seen.raw_is(_swapped, "the bytes the other way round")),
    Mistake(
        _SWAPPED, _SWAPPED_HINT, seen.raw_is(_swapped_unsigned, "the bytes the other way round")
    ),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, seen.raw_is(_unsigned, "without taking off 65536")),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, seen.raw_is(_half, "with 32768 taken off, not 65536")),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, seen.raw_is(_one_short, "with 65535 taken off, not 65536")),
    Mistake(
        "only one of the two bytes used",
        "both bytes make the number: 256 * high + low.",
        seen.raw_is(_high, "the high byte alone"),
    ),
    Mistake(
        "only one of the two bytes used",
        "both bytes make the number: 256 * high + low.",
        seen.raw_is(_low, "the low byte alone"),
    ),
    Mistake(
        "the sign is lost",
        "print the number with its sign, without abs(): below 0 it is a turn to starboard.",
        seen.raw_is(_unsigned_size, "without its sign"),
    ),
    Mistake(
        "a line is missing or reads otherwise",
        'three lines, each a word and a number: print("address", hex(SENSOR)) and so on.',
        seen.line_missing("address", "identity", "raw"),
    ),
    Mistake(
        "a number that did not come from the sensor",
        "print the number that you made of the two bytes, as it is: no scale, no mean.",
        seen.raw_unread,
    ),
    Mistake(
        "read before it had settled",
        "between waking it and reading the rate: time.sleep_ms(100).",
        seen.hasty,
    ),
)

RATE: tuple[Mistake, ...] = (
    *_FIRST,
    Mistake(_STANDS, _STANDS_HINT, seen.never_turned(30.0)),
    _RANGE,
    Mistake(
        "no line that can be read",
        'print("rate", number) about ten times a second.',
        seen.line_missing("rate"),
    ),
    Mistake(
        "one reading printed again and again",
        "read the sensor anew inside the loop, before each print.",
        rates.stale,
    ),
    Mistake(
        "wrong axis",
        "of 14 bytes from 0x3B, those with the index 12 and 13 are the rate about z.",
        rates.unmoved,
    ),
    Mistake(_SWAPPED, _SWAPPED_HINT, rates.said_is(_swapped, "taken the other way round")),
    Mistake(_SWAPPED, _SWAPPED_HINT, rates.said_is(_swapped_unsigned, "taken the other way round")),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, rates.said_is(_unsigned, "taken without a sign")),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, rates.said_is(_half, "less 32768, not 65536")),
    Mistake(
        "the sign is lost",
        "print the rate as it is, without abs(): below 0 it means a turn to starboard.",
        rates.sign_lost,
    ),
    Mistake(
        "only one of the two bytes used",
        "both bytes make the number: 256 * high + low.",
        rates.said_is(_high, "the high byte alone"),
    ),
    Mistake("sign turned round", "to port the rate is above 0, as read.", rates.scaled("sign")),
    Mistake(_RADIANS, _RADIANS_HINT, rates.scaled("radians")),
    Mistake("raw number printed", "divide by 131 to get degrees a second.", rates.scaled("raw")),
    Mistake(
        "printed numbers that follow no reading",
        "print what you worked out from the two bytes that were just read.",
        rates.made_up,
    ),
    Mistake(_SCALE, _SCALE_HINT, rates.scaled("range")),
    Mistake(_BIAS, _BIAS_HINT, rates.bias_printed),
    Mistake(
        "what is taken off is not the bias",
        "take the mean before the first spin, with the tug at rest, of rates and not of raw "
        "numbers: add up rate() / 100 a hundred times.",
        rates.offset,
    ),
    _LEFT_ON,
    Mistake(
        "turns to one side only",
        "turn to port, rest, then turn to starboard: the same effort with the other sign.",
        seen.one_way,
    ),
    Mistake(
        "no rates printed at rest",
        "go on printing while the tug rests between the two turns.",
        rates.none_at_rest,
    ),
    Mistake(
        "too few lines",
        "print ten lines a second: time.sleep_ms(100) in the loop.",
        rates.few_lines,
    ),
)

QUARTER: tuple[Mistake, ...] = (
    Mistake(_CLOCK, _CLOCK_HINT, ways.unread),
    *_FIRST,
    Mistake(
        "no new reading while it turns",
        "read the sensor anew in each round of the loop that waits for the angle.",
        ways.no_new_reading,
    ),
    Mistake(
        "each step counted from the beginning of the turn",
        "end each round with before = now, so that the next step begins where this one ended.",
        replay.never_renewed,
    ),
    Mistake(
        "an angle or a time in the wrong unit",
        "everything in degrees and seconds: 131 counts are one degree a second, the goal is 90 "
        "(not pi/2), and a difference of ticks_us() is divided by 1000000.",
        replay.wrong_unit,
    ),
    Mistake(_STANDS, _STANDS_HINT, seen.never_turned(8.0)),
    _RANGE,
    Mistake(_CLOCK, _CLOCK_HINT, ways.by_clock),
    Mistake(
        "turns the wrong way",
        "to port the right wheel runs ahead and the left one back.",
        ways.wrong_way,
    ),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, replay.decoded(_unsigned, "without a sign")),
    Mistake(_NO_SIGN, _NO_SIGN_HINT, replay.decoded(_half, "less 32768, not 65536")),
    Mistake(_SWAPPED, _SWAPPED_HINT, replay.decoded(_swapped, "the other way round")),
    Mistake(_SCALE, _SCALE_HINT, replay.factor_off),
    Mistake(_BIAS, _BIAS_HINT, replay.bias_added_up),
    Mistake(
        "bias measured while the tug turns",
        "take the mean of 100 readings before the first spin: at rest.",
        replay.unmeasured,
    ),
    Mistake(
        "the rest before the turn counted as a step",
        "begin each turn with before = time.ticks_us(), also the way back.",
        replay.rest_counted,
    ),
    Mistake(
        "the sum is not set to 0 before the way back",
        "begin each turn with angle = 0.",
        ways.sum_kept,
    ),
    Mistake(
        "the way back never ends",
        "on the way back the angle goes below 0: go on while angle > -89, or compare angle * side.",
        ways.no_end_back,
    ),
    Mistake(
        "time step assumed, not measured",
        "look at time.ticks_us() in every round, and add the rate times time.ticks_diff(now, "
        "before) / 1000000.",
        replay.step_assumed,
    ),
    _LEFT_ON,
    Mistake(
        "no rest between the turns",
        "after the first turn put time.sleep_ms(500).",
        ways.no_rest,
    ),
    Mistake(
        "turns to one side only",
        "after a rest turn back: the same loop with the other sign.",
        seen.one_way,
    ),
    Mistake(
        "stops too late",
        "slow down for the last 20 degrees, brake rather than coast, and stop a little before "
        "90: the tug rolls on.",
        ways.stops_late,
    ),
    Mistake(
        "stops too early",
        "compare with a larger angle, or leave less for the rolling on.",
        ways.stops_early,
    ),
    Mistake(
        "the angle printed before the tug stood",
        "go on reading and adding for 0.2 s after the stop, then print.",
        ways.told_before_rest,
    ),
    Mistake(
        "the sign is lost",
        "print the angle as it was added up, without abs(): below 0 it is a turn to starboard.",
        ways.told_as(-1.0),
    ),
    Mistake(_RADIANS, "print the angle in degrees.", ways.told_as(PER_DEG)),
    Mistake(
        "a line is missing or reads otherwise",
        'after each turn print("turned", angle).',
        seen.line_missing("turned"),
    ),
)
