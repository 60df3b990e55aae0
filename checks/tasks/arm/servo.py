"""Mistakes that any program for the arm may make."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import PINS, Recording

from ...readings.arm import angles, on_stop, pulses, trains, us_of
from ...task import Clues, Criterion, Facts, Mistake, mistake
from ...words import amount

__all__ = [
    "FRAME", "MIRRORED", "NO_TIME", "UNHEARD", "WAITING", "called_off", "port_first", "pressed",
    "waiting",
]  # fmt: skip

FRAME = (
    "pulse worked out for another frame",
    "the share is pulse / 20 ms, since 50 pulses a second leave 20 ms for each: "
    "1.5 ms is 7.5 %, `duty_u16(4915)`.",
)
NO_TIME = (
    "no time given to get there",
    "after each order sleep until the arm is there (60 degrees take it 0.12 s), "
    "and for as long as it shall stay.",
)
WAITING = (
    "still waiting when the time was up",
    "`time.sleep()` counts seconds, `time.sleep_ms()` thousandths; and nothing that stands after "
    "a loop without end is ever done.",
)
MIRRORED = (
    "arm mirrored",
    "a longer pulse turns the arm to port: us = 1500 + angle * 1000 / 90.",
)
_TOO_SHORT_US = 480.0
"""A little below the shortest pulse that a servo hears: 500 us may be meant as 500."""
_GONE_TO = 30.0
"""An arm that is so many degrees aside has been sent there."""


@mistake("wrong pin", f"the arm's servo hangs on pin {PINS['arm']}.")
def _wrong_pin(seen: Facts) -> Clues:
    for recording in seen.recordings:
        pins = sorted({told.pin for told in recording.outputs() if told.pulsed})
        if pins and PINS["arm"] not in pins:
            yield f"pin {pins[0]} got pulses, but the arm hangs on pin {PINS['arm']}"


@mistake(
    "frequency is not 50 Hz",
    "make it with `PWM(Pin(18), freq=50, duty_u16=0)`; left out, the frequency is 5000.",
)
def _frequency(seen: Facts) -> Clues:
    for recording in seen.recordings:
        for train in trains(recording, 0.05):
            if train.number and train.freq_hz and not 45.0 <= train.freq_hz <= 55.0:
                yield (
                    f"{train.freq_hz:g} pulses came in a second, so {train.percent:.1f} % of the "
                    f"time was a pulse of {train.us:.0f} us"
                )


@mistake(
    "duty in the wrong scale",
    "1.5 ms is `duty_ns(1500000)`, `duty_u16(4915)` or `duty(77)`: the number must belong to the "
    "name before it.",
)
def _scale(seen: Facts) -> Clues:
    for recording in seen.recordings:
        for train in trains(recording):
            if train.framed and train.us < _TOO_SHORT_US:
                yield (
                    f"at {train.begin:.2f} s pulses of {train.us:.1f} us came out "
                    f"(number {train.number} of 65535), and a servo hears none below about 500"
                )


@mistake(*FRAME)
def _too_long(seen: Facts) -> Clues:
    for recording in seen.recordings:
        for train in trains(recording, 0.05):
            if train.framed and train.us > 2500.0:
                yield (
                    f"at {train.begin:.2f} s pulses of {train.us / 1000:.1f} ms came out, "
                    f"{train.percent:.0f} % of the 20 ms from one to the next, and a "
                    "servo hears none above about 2.5 ms"
                )


@mistake(
    "the arm's pin gets no pulses",
    "make a `PWM` on pin 18 with `freq=50` and give it a duty, then sleep.",
)
def _no_pulses(seen: Facts) -> Clues:
    for recording in seen.recordings:
        # An order that was given and called off at once is one.
        if not pulses(recording, 0.0) and not any(
            t.number and t.freq_hz for t in trains(recording)
        ):
            yield f"pin {PINS['arm']} never put out pulses for 2 ms or more"


UNHEARD = (_wrong_pin, _frequency, _scale, _too_long, _no_pulses)
"""Why a servo hears nothing; looked for in every task of the arm, before the task's own."""


def pressed(costs: Sequence[Criterion] = (), explains: Sequence[Criterion] = ()) -> Mistake:
    """Give the mistake of an arm on its stop, with what it costs in a task."""

    @mistake(
        "pressed on its stop",
        "stay between 1.0 and 2.0 ms; take the order away as soon as you hear the servo hum.",
        costs=costs, explains=explains,
    )  # fmt: skip
    def found(seen: Facts) -> Clues:
        for recording in seen.recordings:
            train = on_stop(recording)
            if train:
                side = "starboard" if train.us < us_of(0.0) else "port"
                amps = recording.at("amps", min(train.begin + 0.35, train.end - 0.01))
                yield (
                    f"from {train.begin:.2f} s on pulses of {train.us:.0f} us pressed the arm on "
                    f"its {side} stop; the tug drew {amps:.2f} A"
                )

    return found


def waiting(recording: Recording) -> Clues:
    """Tell of a program that was still waiting after its last order when the time was up."""
    orders = pulses(recording, 0.0)
    wait = recording.seconds - orders[-1].begin if orders else 0.0
    if recording.ended == "time is up" and wait > 0.9:
        yield (
            f"the last new order came at {orders[-1].begin:.2f} s; {wait:.1f} s later, when the "
            "check ended, the program was still running"
        )


def port_first(recording: Recording) -> Clues:
    """Tell of an arm that went to port where it should have gone to starboard."""
    track = list(zip(recording.tracks["t"], angles(recording), strict=True))
    port = next((t for t, angle in track if angle >= _GONE_TO), None)
    starboard = next((t for t, angle in track if angle <= -_GONE_TO), None)
    if port is not None and (starboard is None or port < starboard):
        later = "never to starboard" if starboard is None else f"to starboard at {starboard:.2f} s"
        yield f"the arm went to port first, at {port:.2f} s, and {later}"


def called_off(recording: Recording, side: float, reach: float, needed: float) -> Clues:
    """Tell of orders to go to a side (1 port, -1 starboard) that were too short to get there.

    Args:
        recording: The recording.
        side: The side.
        reach: How far they were to bring the arm, in degrees.
        needed: How long they would have had to stand, in s.
    """
    meant = [t.seconds for t in pulses(recording, 0.0) if side * (t.us - us_of(side * reach)) > 0]
    came = max(side * angle for angle in angles(recording))
    if 0.0 < sum(meant) < needed and came < reach:
        yield (
            f"the order to go to {'port' if side > 0 else 'starboard'} stood for "
            f"{1000 * sum(meant):.0f} ms; the arm came as far as {amount(side * came, 0)} degrees"
        )
