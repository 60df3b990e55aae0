"""Motors: words for them, and the mistakes with them that any task's recordings may give away.

A mistake here explains any loss; a task binds it to its criteria: `left_on.bound(costs=[...])`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim import PINS, Recording

from ..readings.motion import (
    MOTOR_PINS,
    SIDES,
    Phase,
    at_rest,
    driven,
    motor_duties,
    motor_phases,
    rolled,
    still_braked,
    still_driven,
)
from ..task import Clues, Evidence, Facts, mistake
from ..words import named_trials

__all__ = [
    "ahead_and_back_swapped",
    "begun_at_half",
    "duty_inverted_at_the_stop",
    "left_braked",
    "left_on",
    "motor_names",
    "never_driven",
    "no_sleep",
    "not_ended",
    "one_side_only",
    "percent",
    "switched_off",
    "too_many_pulses",
    "wrong_scale",
]

_MOST_OTHER_SCALE = 1023
"""The largest number of the other common scales of a duty: 0 to 1023, 0 to 255, 0 to 100."""
_AT_ONCE_S = 0.02
"""What is driven for less was not meant to be driven for any time."""
_BEGINS_WITH = 32768
"""The number of the duty with which a PWM begins that was given none; int(0.5 * 65535) is 32767."""
_JERK_S, _EDGE_S = 0.05, 0.001
"""What lasts for so long moves a tug; and within so long both motors' first pulses have begun."""
_FAST_DECAY_HZ = 3000.0
"""From so many pulses a second on the current can hardly rise before it dies again."""


def percent(duty: float) -> str:
    """Give a duty in words, without its sign."""
    return f"{100 * abs(duty):.0f} %"


def motor_names(sides: Sequence[str]) -> str:
    """Name one motor or both."""
    return "both motors" if len(sides) == 2 else f"the {sides[0]} motor"


def switched_off(recording: Recording) -> tuple[float, str, float | None]:
    """Judge "motors off" at the end: neither driven nor braked, and the tug at rest.

    Returns:
        The share earned, what was measured, when to look: braked is half the way to off.
    """
    if sides := still_driven(recording):
        return 0.0, f"{motor_names(sides)} still driven at the end", recording.seconds
    if not at_rest(recording):
        return 0.0, "still moving at the end", recording.seconds
    if sides := still_braked(recording):
        words = f"at rest, but {motor_names(sides)} braked at the end, not off: both inputs high"
        return 0.5, words, recording.seconds
    return 1.0, "at rest, motors off", None


# -- pins and numbers --------------------------------------------------------


@mistake(
    "duty in the wrong scale",
    "duty_u16() counts from 0 to 65535: for 40 % write int(0.40 * 65535).",
)
def wrong_scale(seen: Facts) -> Clues:
    """All duties are as small as those of another scale."""
    for name, recording in named_trials(seen.recordings):
        given = motor_duties(recording) - {0, 65535}
        if given and max(given) <= _MOST_OTHER_SCALE:
            top = max(given)
            share = f"{top / 655.36:.1f} % of 65535"
            yield f"{name}no duty between off and full was above {top}, {share}"


@mistake(
    "no duty given when the PWM was made",
    "say duty_u16=0 when you make each PWM: left out, its pulses begin at once, at 50 %, and the "
    "motor with them.",
)
def begun_at_half(seen: Facts) -> Clues:
    """A motor was driven by pulses that began as those of a PWM without a duty do."""
    for name, recording in named_trials(seen.recordings):
        for side in SIDES:
            for pin in MOTOR_PINS[side]:
                begin, end = _first_pulses(recording, pin)
                drove = [p for p in driven(recording, side) if begin - _EDGE_S <= p.begin < end]
                seconds = math.fsum(min(phase.end, end) - phase.begin for phase in drove)
                if seconds > _JERK_S:
                    yield (
                        f"{name}pin {pin} began with pulses of 50 %, as a PWM without a duty does, "
                        f"and so the {side} motor was driven for {seconds:.2f} s"
                    )


def _first_pulses(recording: Recording, pin: int) -> tuple[float, float]:
    """Give from when to when a pin kept the duty with which a PWM begins; no time if it did not."""
    ordered = [told for told in recording.outputs(pin) if told.ordered]
    if not ordered or not ordered[0].pulsed or ordered[0].duty_u16 != _BEGINS_WITH:
        return 0.0, 0.0
    later = (told.seconds for told in ordered if told.duty_u16 != _BEGINS_WITH)
    return ordered[0].seconds, next(later, recording.seconds)


@mistake(
    "the motors are never driven",
    "a motor is driven only while its two inputs differ; give one of them more than the other.",
)
def never_driven(seen: Facts) -> Clues:
    """Motor pins were set, but never so that a motor was driven."""
    recording = seen.recording
    if any(driven(made, side) for made in seen.recordings for side in SIDES):
        return
    for side in SIDES:
        for phase in motor_phases(recording, side):
            if 0.01 < phase.brake < 0.99:
                yield f"both inputs of the {side} motor got the same duty, {percent(phase.brake)}"
    if not _driven_at_all(recording):
        yield "no input of a motor ever got more than 0"


def _driven_at_all(recording: Recording) -> list[Phase]:
    """Give every stretch of time in which a motor was driven, however short."""
    return [p for side in SIDES for p in motor_phases(recording, side, 0.0) if p.duty]


@mistake(
    "no sleep between start and stop",
    "put a time.sleep(...) between starting the motors and stopping them.",
)
def no_sleep(seen: Facts) -> Clues:
    """Motors were driven for no longer than the lines of a program take."""
    longest = max((phase.seconds for phase in _driven_at_all(seen.recording)), default=math.inf)
    if longest < _AT_ONCE_S:
        yield f"no motor was driven for longer than {1000 * longest:.1f} ms at a time"


@mistake(
    "PWM frequency too high for fast decay",
    "say freq=1000 when you make the PWM (left out, it is 5000), and use slow decay.",
)
def too_many_pulses(seen: Facts) -> Clues:
    """Fast decay has pulses too short for the current to rise."""
    for side in SIDES:
        for phase in driven(seen.recording, side):
            if phase.fast and phase.freq_hz >= _FAST_DECAY_HZ:
                yield (
                    f"the {side} motor got {phase.freq_hz / 1000:g} kHz pulses with coasting "
                    "between them, too short for the current to rise"
                )


# -- which way ---------------------------------------------------------------


@mistake(
    "only one side driven",
    "drive both motors; does each PWM stand on the pin that you think?",
)
def one_side_only(seen: Facts) -> Clues:
    """One motor was driven, the other never."""
    used = [side for side in SIDES if driven(seen.recording, side)]
    if len(used) == 1:
        other = SIDES[1 - SIDES.index(used[0])]
        yield f"only the {used[0]} motor was driven; the {other} one never was"


@mistake(
    "ahead and back swapped",
    "the ahead inputs are pins {left_ahead} and {right_ahead}, the back inputs {left_back} and "
    "{right_back}.".format(**PINS),
)
def ahead_and_back_swapped(seen: Facts) -> Clues:
    """Both wheels rolled back, and not because the back inputs were left on at the end."""
    left, right = (rolled(seen.recording, side) for side in SIDES)
    if left < -0.01 and right < -0.01 and not _back_inputs_left_on(seen.recording):
        yield f"both wheels rolled back, by {-left:.2f} m and {-right:.2f} m"


# -- the end -----------------------------------------------------------------


@mistake(
    "slow-decay duty inverted",
    "with the ahead input high, the duty of the back input is the share of braking: for an effort "
    "of 0.2 give it 1 - 0.2, and to stop give it all.",
)
def duty_inverted_at_the_stop(seen: Facts) -> Clues:
    """What was meant as a stop in slow decay is full speed."""
    for name, recording in named_trials(seen.recordings):
        for side in still_driven(recording):
            phases = driven(recording, side)
            if phases[-1].duty > 0.995 and any(phase.braked for phase in phases[:-1]):
                yield (
                    f"{name}the {side} motor ends at full speed: its ahead input stays high while "
                    "the duty on its back input goes to 0"
                )


@mistake(
    "motors left on",
    "end with lines that stop both motors: PWM goes on after the program has ended.",
)
def left_on(seen: Facts) -> Clues:
    """Motors are driven at the end although the program has ended."""
    for name, recording in named_trials(seen.recordings):
        sides = still_driven(recording)
        if not sides or recording.ended == "time is up":
            continue
        if clue := _back_inputs_left_on(recording):
            yield Evidence(
                name + clue, "to stop, set all four inputs to 0, the two back inputs as well."
            )
        duty = percent(driven(recording, sides[0])[-1].duty)
        verb = "were" if len(sides) == 2 else "was"
        ended = f"the program ended at {recording.ended_ns / 1e9:.2f} s"
        words = f"{name}{ended}, but {motor_names(sides)} {verb} still driven, at {duty}"
        yield Evidence(words, _PAIRS_MIXED if _ends_on_one_input_each(recording, sides) else "")


_PAIRS_MIXED = (
    "end with lines that stop both motors. If the last line was to brake them: two inputs of ONE "
    "motor have to be high for that, {left_ahead} and {left_back} or {right_ahead} and "
    "{right_back}; here it was one input of each.".format(**PINS)
)


def _ends_on_one_input_each(recording: Recording, sides: Sequence[str]) -> bool:
    """Tell of two motors that ended at full speed, each by one input, and not from the start."""
    lasts = [driven(recording, side)[-1] for side in sides]
    full = len(sides) == 2 and all(abs(phase.duty) > 0.995 for phase in lasts)
    return full and any(len(driven(recording, side)) > 1 for side in sides)


def _back_inputs_left_on(recording: Recording) -> str:
    """Tell of ahead inputs that were set to 0, but not the back inputs with their pulses."""
    if recording.ended == "time is up":  # then it may just be on its way back
        return ""
    for side in still_driven(recording):
        phases = driven(recording, side)
        if len(phases) > 1 and phases[-1].duty < 0 < phases[-2].duty:
            return (
                f"from {phases[-1].begin:.2f} s on, after it had gone ahead, the {side} motor was "
                f"driven back at {percent(phases[-1].duty)}: its back input was still on"
            )
    return ""


@mistake(
    "the program does not come to its end in time",
    "does a loop go on for ever, or is a wait too long? time.sleep() takes seconds, "
    "time.sleep_ms() thousandths of them.",
)
def not_ended(seen: Facts) -> Clues:
    """Motors were driven when the time of the trial was up, the program still running."""
    for name, recording in named_trials(seen.recordings):
        sides = still_driven(recording)
        if sides and recording.ended == "time is up":
            verb = "were" if len(sides) == 2 else "was"
            yield (
                f"{name}when the {recording.seconds:g} s of the trial were up the program still "
                f"ran, and {motor_names(sides)} {verb} driven"
            )


@mistake(
    "motors braked at the end, not off",
    "an effort of 0 leaves both inputs high, and that brakes: last of all set all four inputs to "
    "0.",
)
def left_braked(seen: Facts) -> Clues:
    """Motors are braked at the end where "off" was asked."""
    for name, recording in named_trials(seen.recordings):
        sides = still_braked(recording)
        if sides and not still_driven(recording):
            yield f"{name}at the end both inputs of {motor_names(sides)} were still high"
