"""Mistakes with eyes and motors that any program for the line may make."""

from __future__ import annotations

from ...readings.line import EYE_PINS, TOP_COUNT, round_s
from ...readings.motion import SIDES, driven, motor_phases, still_braked, still_driven
from ...readings.rest import busy
from ...readings.together import together
from ...task import Clues, Evidence
from ...words import counted
from .. import motors
from ..trials import known
from .trial import Trial

__all__ = ["DRIVING", "READING", "blind_rounds"]

_PINS = "from port to starboard the eyes hang on the pins 36, 39, 34, 35"
_OFTEN = 15
"""A converter that sees all of an eye's volts never reads its top: so often is no accident."""


@known(
    "the eyes are not read",
    f"{_PINS}: `ADC(Pin(36), atten=ADC.ATTN_11DB).read()`.",
)
def not_read(one: Trial) -> Clues:
    if not any(one.counts):
        pins = sorted({event.data[0] for event in one.recording.of("adc")})
        other = f"; read were the pins {pins}" if pins else ""
        yield f"none of the pins 36, 39, 34, 35 was ever read as an ADC{other}"


@known(
    "attenuation not set",
    "without `atten=ADC.ATTN_11DB` the converter sees 0 to 0.95 V only, and all above is 4095.",
)
def _saturated(one: Trial) -> Clues:
    for eye, counts in enumerate(one.counts):
        top = counts.count(TOP_COUNT)
        if top > min(0.05 * len(counts), _OFTEN):
            yield (
                f"eye {eye} read {TOP_COUNT}, the top of the scale, "
                f"in {100 * top / len(counts):.0f} % of its readings"
            )


@known("an eye is not read", f"{_PINS}.")
def no_eye(one: Trial) -> Clues:
    for eye, counts in enumerate(one.counts):
        if any(one.counts) and not counts:
            pins = sorted({event.data[0] for event in one.recording.of("adc")})
            yield f"eye {eye}, pin {EYE_PINS[eye]}, was never read; read were the pins {pins}"


@known(
    "the motors are never driven",
    "a motor is driven only while its two inputs differ; give one of them more than the other.",
)
def _never_driven(one: Trial) -> Clues:
    phases = [p for side in SIDES for p in motor_phases(one.recording, side, 0.0)]
    if not any(driven(one.recording, side) for side in SIDES):
        both = next((p.brake for p in phases if not p.duty and 0.01 < p.brake < 0.99), None)
        if both is not None:
            yield f"both inputs of a motor got the same duty, {100 * both:.0f} %"
        elif not any(phase.duty for phase in phases):
            looked = max(map(len, one.counts))
            hint = (
                "it looks again and again, and never comes to the lines that drive: print what the "
                "eyes read, and compare that with what you ask for."
            )
            yield Evidence("no input of a motor ever got more than 0", hint if looked > 20 else "")


@known(motors.ahead_and_back_swapped.name, motors.ahead_and_back_swapped.hint)
def _astern(one: Trial) -> Clues:
    times = together(one.recording)
    if times.astern > 0.4 and times.ahead < 0.1:
        yield (
            f"both motors were driven back for {times.astern:.1f} s, and ahead for "
            f"{times.ahead:.1f} s"
        )


@known(
    "one side runs backwards",
    "when the tug goes along the line both motors must turn ahead: compare the pins of left and "
    "right.",
)
def one_side_back(one: Trial) -> Clues:
    """Tell of a tug that spun, and never went ahead but as far as astern."""
    times = together(one.recording)
    spun = abs(times.to_port - times.to_starboard)
    # To and fro is how it calibrates: with one side turned round it does so ahead and astern.
    swung = times.astern > 0.3 and abs(times.ahead - times.astern) < 0.25
    only_spun = times.ahead + times.astern + min(times.to_port, times.to_starboard) < 0.05
    if spun > 0.5 and (swung or only_spun):
        yield f"the motors were driven against each other for {spun:.1f} s on end"


@known(
    "never driven along the line",
    "after calibrating every round of the loop must drive: drive(EFFORT - steer, EFFORT + steer).",
)
def spins_on(one: Trial) -> Clues:
    """Tell of a tug that swings to and fro, and goes on with the last swing."""
    times = together(one.recording)
    if one.looked_and_ended:
        return
    if times.ahead + times.astern < 0.02 and min(times.to_port, times.to_starboard) > 0.1:
        both = times.to_port + times.to_starboard
        yield f"both motors turned ahead for no moment, and against each other for {both:.1f} s"


@known(
    "motors left on",
    "end with lines that stop both motors: PWM goes on after the program has ended.",
)
def left_on(one: Trial) -> Clues:
    if one.finished and still_driven(one.recording):
        yield f"the program ended at {one.ended_s:.2f} s, and {busy(one.recording)}"


@known(
    "motors left braked",
    "braking is no rest for the motors: brake for 300 ms, then take both off, `stop()`.",
)
def left_braked(one: Trial) -> Clues:
    if still_braked(one.recording) and not still_driven(one.recording):
        yield busy(one.recording)


@known(
    "no sleep in the loop",
    "let each round of the loop sleep, say 10 to 40 ms: the tug needs that time to move.",
)
def no_sleep(one: Trial) -> Clues:
    times = [e.seconds for e in one.recording.of("adc", pin=EYE_PINS[_most_read(one)])]
    usual = (times[-1] - times[0]) / (len(times) - 1) if len(times) > 10 else 1.0
    if usual < 0.002 and one.finished and one.ended_s < 3.0:
        yield f"the loop looked every {1000 * usual:.1f} ms and was over after {one.ended_s:.2f} s"


def _most_read(one: Trial) -> int:
    return max(range(4), key=lambda eye: len(one.counts[eye]))


@known(
    "reads once before the loop",
    "a count is what the eye saw at that moment: read the eyes anew in every round of the loop, "
    "and let the round sleep for thousandths of a second, `sleep_ms(40)`.",
)
def read_once(one: Trial) -> Clues:
    went, most = one.went, max(map(len, one.counts))
    if not went.steering:
        if 0 < most <= 3 and not one.looked_and_ended:
            yield f"no eye was read more than {counted(most, 'time')}"
        return
    last = max((e.seconds for e in one.recording.of("adc") if e.data[0] in EYE_PINS), default=None)
    moving = [t for t, d, s in zip(went.t, went.drive, went.steer, strict=True)
              if abs(d) > 0.05 or abs(s) > 0.05]  # fmt: skip
    if last is not None and moving[-1] - last > 0.5 and last < went.t[went.steering[0]] + 0.3:
        yield (
            f"the last reading was at {last:.2f} s, and the tug drove on for "
            f"{moving[-1] - last:.1f} s"
        )


def blind_rounds(one: Trial) -> Clues:
    """Tell of too long a time from one look to the next."""
    usual, went = round_s(one.recording), one.went
    if usual is not None and usual >= 0.1:
        speed = max(went.metres / went.seconds, 0.05) if went.seconds > 0 else 0.05
        yield (
            f"an eye is read every {1000 * usual:.0f} ms: at {speed:.2f} m/s the tug goes "
            f"{1000 * usual * speed:.0f} mm blind"
        )


slow_rounds = known(
    "loop too slow", "shorten the sleep and print less: 40 ms a round is enough, 20 ms better."
)(blind_rounds)
READING = (not_read, _saturated)
DRIVING = (motors.wrong_scale, _never_driven, _astern)
"""Looked for in every task of the line, before the task's own."""
