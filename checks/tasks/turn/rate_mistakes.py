"""Mistakes in `turn.rate`: printed rates are put beside the bytes from which they were made."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterator

from robotsim import Recording

from ...readings.sensors import PER_DEG, bus, printed, true_rate
from ...task import Facts, Mistake, Task, mistake
from .. import motors
from .fits import EXACT, fitted, made, shown
from .rate import (
    AT_REST,
    CRITERIA,
    REST_FULL,
    SECONDS,
    STANDING,
    TURNING,
    at_rest,
    compared,
    motors_off,
    port,
    starboard,
    turns_and_prints,
    turns_as_asked,
)
from .sensing import (
    DECODINGS,
    READING,
    Decode,
    does_not_turn,
    faster_than_the_range,
    in_any_trial,
    line_missing,
    one_side_only,
    three_tugs,
)
from .turns import raw

__all__ = ["BIAS", "BIAS_HINT", "RATE", "SCALE", "SCALES", "SCALE_HINT"]

BIAS = "gyro bias left in"
BIAS_HINT = (
    "while the tug stands still, take the mean of 100 readings; then take that mean off every "
    "reading. Each tug has its own."
)
SCALE = "scale of another range"
SCALE_HINT = "as long as you do not write to register 0x1B, divide the raw number by 131."
SCALES = {
    2.0: "twice", 4.0: "four times", 8.0: "eight times",
    0.5: "half", 0.25: "a quarter of", 0.125: "an eighth of",
}  # fmt: skip
"""Factors from one range to another."""
_RATES = [turns_and_prints, port, starboard, at_rest]


def _bytes_taken(name: str, hint: str, decode: Decode, words: str) -> Mistake:
    """Make the mistake of rates that came of the bytes in a wrong way."""

    @mistake(name, hint, explains=_RATES)
    @in_any_trial
    def look(recording: Recording) -> Iterator[str]:
        right, wrong = fitted(recording, raw), fitted(recording, decode)
        if not wrong or wrong.rest > EXACT or (right and right.rest <= 2 * wrong.rest):
            return
        worst = max(compared(recording), key=lambda c: abs(c.printed - c.true))
        sample = worst.sample
        yield (
            f"at {worst.time:.2f} s the bytes were 0x{sample.high:02x} 0x{sample.low:02x}, which "
            f"is {sample.raw}; the printed {worst.printed:.1f} follows if they are {words}"
        )

    return look


def _factor(name: str, hint: str, fits: Callable[[float, float], bool]) -> Mistake:
    """Make the mistake of rates that are wrong by a factor, given with the range's counts."""

    @mistake(name, hint, costs=[port, starboard], explains=[at_rest])
    @in_any_trial
    def look(recording: Recording) -> Iterator[str]:
        fit = made(recording)
        if fit and fits(fit.slope, bus(recording).samples[-1].lsb):
            factor = next((f for f in SCALES if abs(abs(fit.slope) / f - 1) < 0.06), None)
            words = SCALES[factor] if factor else f"{fit.slope:.3g} times"
            yield f"{shown(compared(recording))}: {words} the true rate"

    return look


@mistake(BIAS, BIAS_HINT, explains=[at_rest, port, starboard])
@in_any_trial
def bias_left_in(recording: Recording) -> Iterator[str]:
    fit, bias = made(recording), bus(recording).bias(recording)
    lines = [c for c in compared(recording) if abs(c.true) < STANDING]
    if not lines or bias is None or abs(bias) < 1.0:
        return
    value, slope = statistics.median(c.printed for c in lines), fit.slope if fit else 1.0
    for times, words in ((1.0, "that is its bias"), (2.0, "twice its bias: added, not taken")):
        if abs(value - times * slope * bias) < 0.25 * abs(slope * bias):
            yield f"at rest it printed {value:.1f}; the sensor showed {bias:.1f}, {words}"


@mistake(
    "what is taken off is not the bias",
    "take the mean before the first spin, with the tug at rest, of rates and not of raw numbers: "
    "add up rate() / 100 a hundred times.",
    costs=[at_rest],
    explains=[port, starboard],
)
@in_any_trial
def something_else_taken_off(recording: Recording) -> Iterator[str]:
    fit, bias = made(recording), bus(recording).bias(recording)
    lines = [c for c in compared(recording) if abs(c.true) < STANDING]
    if fit and bias is not None and lines and abs(fit.slope - 1) < 0.06:
        value = statistics.median(c.printed for c in lines)
        if abs(value) > REST_FULL:
            yield (
                f"at rest it printed {value:.1f} where the sensor showed {bias:.1f}: what was "
                f"taken off is {bias - value:.1f}"
            )


# -- numbers that follow no reading ------------------------------------------


def _unmoved(recording: Recording, fresh: bool) -> Iterator[str]:
    """Tell of printed rates that hardly differ although the tug turned at quite different ones."""
    lines = printed(recording, "rate")
    values = [line.value for line in lines]
    true = [true_rate(recording, line.time) for line in lines]
    if len(values) < 6 or max(true) - min(true) < 60 or max(values) - min(values) > 2.0:
        return
    count = len(bus(recording).between(lines[0].time, lines[-1].time))
    if fresh == (count >= len(lines) // 2):
        yield (
            f"the {len(values)} printed rates lay between {min(values):.1f} and {max(values):.1f} "
            f"while it turned at up to {max(map(abs, true)):.0f} deg/s; in that time the rate was "
            f"read {count} times"
        )


@mistake(
    "one reading printed again and again",
    "read the sensor anew inside the loop, before each print.",
    explains=_RATES,
)
@in_any_trial
def stale(recording: Recording) -> Iterator[str]:
    yield from _unmoved(recording, fresh=False)
    lines = printed(recording, "rate")
    if len(lines) >= 6:
        count = len(bus(recording).between(lines[0].time, lines[-1].time))
        if count < len(lines) // 2:
            yield f"{len(lines)} rates were printed, and meanwhile the rate was read {count} times"


@mistake(
    "wrong axis",
    "of 14 bytes from 0x3B, those with the index 12 and 13 are the rate about z.",
    explains=_RATES,
)
@in_any_trial
def another_axis(recording: Recording) -> Iterator[str]:
    yield from _unmoved(recording, fresh=True)


@mistake(
    "printed numbers that follow no reading",
    "print what you worked out from the two bytes that were just read.",
    explains=_RATES,
)
@in_any_trial
def made_up(recording: Recording) -> Iterator[str]:
    lines = compared(recording)
    told = {c.printed for c in lines}
    read = {c.sample.raw for c in lines}
    if len(lines) >= 12 and len(told) <= 4 and len(read) >= 3 * len(told):
        shown = ", ".join(f"{value:.4g}" for value in sorted(told))
        yield (
            f"before its {len(lines)} lines the sensor gave {len(read)} different numbers, and "
            f"printed were only {shown}"
        )


@mistake(
    "the sign is lost",
    "print the rate as it is, without abs(): below 0 it means a turn to starboard.",
    costs=[starboard],
    explains=[turns_and_prints],
)
@in_any_trial
def sign_lost(recording: Recording) -> Iterator[str]:
    lines = [c for c in compared(recording) if abs(c.true) > TURNING and c.steady]
    back = [c for c in lines if c.true < 0]
    if len(back) >= 3 and all(abs(c.printed - abs(c.true)) <= 0.1 * abs(c.true) for c in lines):
        one = back[0]
        yield f"at {one.time:.2f} s it printed {one.printed:.1f} where it was {one.true:.1f} deg/s"


# -- lines and turns ---------------------------------------------------------


@mistake(
    "no rates printed at rest",
    "go on printing while the tug rests between the two turns.",
    costs=[at_rest],
    explains=[turns_as_asked],
)
@in_any_trial
def none_at_rest(recording: Recording) -> Iterator[str]:
    lines = compared(recording)
    still = [c for c in lines if abs(c.true) < STANDING]
    if lines and len(still) < AT_REST:
        yield f"of {len(lines)} printed rates {len(still)} were printed at rest"


@mistake(
    "too few lines",
    "print ten lines a second: time.sleep_ms(100) in the loop.",
    explains=[*_RATES, turns_as_asked],
)
@in_any_trial
def few_lines(recording: Recording) -> Iterator[str]:
    lines = printed(recording, "rate")
    if 2 <= len(lines) <= 20:
        gap = statistics.median(b.time - a.time for a, b in zip(lines, lines[1:], strict=False))
        if gap > 0.25:
            yield f"{len(lines)} lines, one every {gap:.2f} s"


_OTHER_ORDER = (
    "turn to port with spin(0.4), rest, turn to starboard with spin(-0.4), rest: a second each."
)
RATE = Task(
    id="turn.rate",
    title="Degrees a second",
    program="rate.py",
    runs=three_tugs(SECONDS, 5, 9),
    facts=Facts,
    criteria=CRITERIA,
    mistakes=(
        *READING,
        does_not_turn(30.0),
        faster_than_the_range.bound(costs=[port], explains=_RATES),
        mistake(
            "no line that can be read",
            'print("rate", number) about ten times a second.',
            costs=[turns_and_prints],
            explains=[*_RATES, turns_as_asked],
        )(in_any_trial(line_missing("rate"))),
        stale,
        another_axis,
        *(_bytes_taken(*how) for how in DECODINGS),
        sign_lost,
        _factor("sign turned round", "to port the rate is above 0, as read.",
                lambda slope, _: -1.1 < slope < -0.9),
        _factor("degrees and radians mixed", "131 counts are one degree a second: everything here "
                "is in degrees.", lambda slope, _: any(
                    abs(abs(slope) * unit - 1) < 0.1 for unit in (PER_DEG, 1 / PER_DEG))),
        _factor("raw number printed", "divide by 131 to get degrees a second.",
                lambda slope, lsb: abs(abs(slope) / lsb - 1) < 0.1),
        made_up,
        _factor(SCALE, SCALE_HINT, lambda slope, _: abs(abs(slope) - 1) > 0.06),
        bias_left_in,
        something_else_taken_off,
        motors.left_on.bound(costs=[motors_off], explains=[turns_as_asked, at_rest]),
        motors.not_ended.bound(costs=[motors_off], explains=[turns_as_asked, at_rest]),
        motors.left_braked.bound(costs=[motors_off]),
        mistake(
            "turns to one side only",
            "turn to port, rest, then turn to starboard: the same effort with the other sign.",
            costs=[turns_as_asked],
            explains=[turns_and_prints, starboard, port],
        )(one_side_only),
        none_at_rest,
        few_lines,
        mistake(
            "not the order or the times that were asked", _OTHER_ORDER, costs=[turns_as_asked],
            explains=[at_rest], sure=False,
        )(lambda seen: iter([turns_as_asked.judge(seen).measured])),
    ),
)  # fmt: skip
"""Ten points."""
