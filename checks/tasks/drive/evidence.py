"""Evidence of mistakes in how the motors are driven, read from a recording.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim import PINS, Recording

from ...readings.bench import needed
from ...readings.motion import (
    MOTOR_PINS,
    SIDES,
    Phase,
    Way,
    driven,
    mean_duty,
    motor_phases,
    rolled,
    still_driven,
    top_duty,
)

__all__ = [
    "astern",
    "back_left_on",
    "below_start",
    "blips",
    "fast",
    "inverted_creep",
    "inverted_curve",
    "inverted_stop",
    "left_on",
    "more_than_needed",
    "never_driven",
    "no_time",
    "numbers",
    "one_side",
    "opposed",
    "other_time",
    "percent",
    "starts_late",
    "stuck_fast",
    "timed_out",
    "too_many_pulses",
    "wrong_pin",
    "wrong_scale",
]

Recordings = Sequence[Recording]

_TRACK = 0.092
"""Between the wheels, in m (the tug's drawing)."""
_WHEEL_RATIO = (0.25 + _TRACK / 2) / (0.25 - _TRACK / 2)
"""Outer to inner wheel speed on a circle of 0.25 m."""
_DRAG_DUTY = 0.14
"""About what keeps a turning wheel turning in slow decay: above it, speed grows evenly."""


_DRIVABLE = {PINS["lamps"], PINS["arm"], *(pin for pair in MOTOR_PINS.values() for pin in pair)}


def percent(duty: float) -> str:
    """Give a duty in words, without its sign."""
    return f"{100 * abs(duty):.0f} %"


# -- pins and numbers --------------------------------------------------------


def wrong_pin(recordings: Recordings) -> str | None:
    """A pin on which neither a motor nor anything else hangs that could be driven."""
    for event in recordings[0].of("pwm", "pin"):
        if event.data[0] not in _DRIVABLE:
            return f"pin {event.data[0]} was driven, but no motor hangs on it"
    return None


def numbers(recording: Recording) -> set[int]:
    """Give the 16-bit duties that motor pins got, those at either end of the scale left out."""
    pins = {pin for pair in MOTOR_PINS.values() for pin in pair}
    return {e.data[2] for e in recording.of("pwm") if e.data[0] in pins} - {0, 65535}


def wrong_scale(recordings: Recordings) -> str | None:
    """Duties as small as those of another scale: 0 to 1023, 0 to 255, 0 to 100."""
    given = numbers(recordings[0])
    if given and max(given) <= 1023:
        top = max(given)
        return f"no duty between off and full was above {top}, {top / 655.36:.1f} % of 65535"
    return None


def never_driven(recordings: Recordings) -> str | None:
    """Motor pins that were set, but never so that a motor was driven."""
    recording = recordings[0]
    if any(driven(recording, side) for side in SIDES):
        return None
    for side in SIDES:
        for phase in motor_phases(recording, side):
            if 0.01 < phase.brake < 0.99:
                return f"both inputs of the {side} motor got the same duty, {percent(phase.brake)}"
    if not blips(recording):
        return "no input of a motor ever got more than 0"
    return None


def blips(recording: Recording) -> list[Phase]:
    """Give every stretch of time in which a motor was driven, however short."""
    return [p for side in SIDES for p in motor_phases(recording, side, 0.0) if p.duty]


def no_time(recordings: Recordings) -> str | None:
    """Motors driven for no longer than the lines of a program take."""
    longest = max((phase.seconds for phase in blips(recordings[0])), default=math.inf)
    if longest < 0.02:
        return f"no motor was driven for longer than {1000 * longest:.1f} ms at a time"
    return None


def too_many_pulses(recordings: Recordings) -> str | None:
    """Fast decay with pulses too short for the current to rise."""
    for side in SIDES:
        for phase in driven(recordings[0], side):
            if phase.fast and phase.freq_hz >= 3000:
                return (
                    f"the {side} motor got {phase.freq_hz / 1000:g} kHz pulses with coasting "
                    "between them, too short for the current to rise"
                )
    return None


# -- one wheel or both -------------------------------------------------------


def below_start(recordings: Recordings) -> str | None:
    """A wheel that stood still although its motor was driven."""
    recording = recordings[0]
    for side in SIDES:
        given, needs = top_duty(recording, side), needed(recording)[side]
        if 0.0 < given < needs + 0.08 and _stood(recording, side):
            freq = max(phase.freq_hz for phase in driven(recording, side))
            return (
                f"the {side} wheel stood still: it got at most {percent(given)}, and with slow "
                f"decay and {freq:.0f} pulses a second it starts at about {percent(needs)}"
            )
    return None


def _stood(recording: Recording, side: str) -> bool:
    return max(map(abs, recording.tracks[side])) < 0.001


def stuck_fast(recordings: Recordings) -> str | None:
    """A wheel that stood still in fast decay, with as much as it needs in slow decay."""
    recording = recordings[0]
    for side in SIDES:
        given, needs = top_duty(recording, side), needed(recording)[side]
        coasts = all(phase.fast for phase in driven(recording, side))
        if needs - 0.01 <= given < 0.4 and coasts and _stood(recording, side):
            return (
                f"between its pulses the {side} motor coasted; so its wheel stood still at "
                f"{percent(given)}, with which it would creep in slow decay"
            )
    return None


def one_side(recordings: Recordings) -> str | None:
    """One motor driven, the other never."""
    used = [side for side in SIDES if driven(recordings[0], side)]
    if len(used) == 1:
        other = "right" if used[0] == "left" else "left"
        return f"only the {used[0]} motor was driven; the {other} one never was"
    return None


def opposed(recordings: Recordings) -> str | None:
    """Wheels that turned against each other all the way."""
    left, right = (rolled(recordings[0], side) for side in SIDES)
    if left * right < 0 and min(abs(left), abs(right)) > 0.03:
        back, ahead = ("left", "right") if left < 0 else ("right", "left")
        lengths = {"left": left, "right": right}
        return (
            f"the {ahead} wheel rolled {lengths[ahead]:.2f} m ahead and the {back} one "
            f"{-lengths[back]:.2f} m back, so the tug spun on the spot"
        )
    return None


def astern(recordings: Recordings) -> str | None:
    """Both wheels that rolled back."""
    left, right = (rolled(recordings[0], side) for side in SIDES)
    if left < -0.01 and right < -0.01 and not back_left_on(recordings):
        return f"both wheels rolled back, by {-left:.2f} m and {-right:.2f} m"
    return None


# -- decay and the end -------------------------------------------------------


def inverted_stop(recordings: Recordings) -> str | None:
    """A stop in slow decay that is full speed."""
    recording = recordings[0]
    for side in still_driven(recording):
        phases = driven(recording, side)
        if phases[-1].duty > 0.995 and any(phase.braked for phase in phases[:-1]):
            return (
                f"the {side} motor ends at full speed: its ahead input stays high while the duty "
                "on its back input goes to 0"
            )
    return None


def inverted_creep(recordings: Recordings) -> str | None:
    """Much duty in slow decay where little was asked."""
    recording = recordings[0]
    for side in SIDES:
        for phase in driven(recording, side):
            if phase.braked and phase.duty > 0.6 and phase.seconds > 0.1:
                return (
                    f"the {side} motor was driven for {percent(phase.duty)} of the time where "
                    f"{percent(1 - phase.duty)} would make it creep"
                )
    return None


def _speeds(outer: float, inner: float) -> float:
    """Give about how much faster one wheel runs than the other on two duties."""
    return max(outer - _DRAG_DUTY, 0.01) / max(inner - _DRAG_DUTY, 0.01)


def inverted_curve(recordings: Recordings) -> str | None:
    """Tell inverted duties from swapped sides: which fits the circle that was asked?"""
    recording = recordings[0]
    left, right = (mean_duty(recording, side) for side in SIDES)
    braked = all(p.braked for side in SIDES for p in driven(recording, side))
    if not braked or not 0 < right < left < 0.98 or Way.of(recording).turned[-1] > 0:
        return None
    meant = math.log(_speeds(1 - right, 1 - left) / _WHEEL_RATIO)
    swapped = math.log(_speeds(left, right) / _WHEEL_RATIO)
    if abs(meant) + 0.08 < abs(swapped):
        return (
            f"it turned to starboard with {percent(left)} on the left and {percent(right)} on "
            f"the right motor; the rest of the time, {percent(1 - left)} and "
            f"{percent(1 - right)}, would have been a curve to port"
        )
    return None


def left_on(recordings: Recordings) -> str | None:
    """Motors driven at the end."""
    recording = recordings[0]
    sides = still_driven(recording)
    if not sides:
        return None
    duty = percent(driven(recording, sides[0])[-1].duty)
    motors = "both motors were" if len(sides) == 2 else f"the {sides[0]} motor was"
    if recording.ended == "time is up":
        return f"{motors} still driven, at {duty}, when the time of the trial was up"
    ended = recording.ended_ns / 1e9
    return f"the program ended at {ended:.2f} s, but {motors} still driven, at {duty}"


def back_left_on(recordings: Recordings) -> str | None:
    """Ahead inputs that were set to 0, but not the back inputs with their pulses."""
    recording = recordings[0]
    if recording.ended == "time is up":  # then it may just be on its way back
        return None
    for side in still_driven(recording):
        phases = driven(recording, side)
        if len(phases) > 1 and phases[-1].duty < 0 < phases[-2].duty:
            at = phases[-1].begin
            return (
                f"from {at:.2f} s on, after it had gone ahead, the {side} motor was driven back "
                f"at {percent(phases[-1].duty)}: its back input was still on"
            )
    return None


def timed_out(recordings: Recordings) -> str | None:
    """Motors driven when the time of the trial was up, the program not yet at its end."""
    return left_on(recordings) if recordings[0].ended == "time is up" else None


def other_time(recordings: Recordings) -> str | None:
    """Wheels that were driven for much less than 2.5 s, or for much more."""
    for side in SIDES:
        seconds = sum(phase.seconds for phase in driven(recordings[0], side) if phase.duty > 0)
        if 0.02 < seconds < 2.0 or seconds > 3.2:
            return f"the {side} motor was driven for {seconds:.2f} s"
    return None


def starts_late(recordings: Recordings) -> str | None:
    """A wheel that hesitates: it gets hardly what it needs."""
    recording = recordings[0]
    for side in SIDES:
        speeds = zip(recording.tracks["t"], recording.tracks[side], strict=True)
        begun = next((t for t, speed in speeds if speed > 0.001), None)
        driven_from = min((p.begin for p in driven(recording, side) if p.duty > 0), default=None)
        if begun is not None and driven_from is not None and begun - driven_from > 0.4:
            return (
                f"the {side} wheel began to turn {begun - driven_from:.1f} s after its motor was "
                "driven: that duty is hardly enough"
            )
    return None


def fast(recordings: Recordings) -> str | None:
    """Pulses with coasting between them."""
    for side in SIDES:
        for phase in driven(recordings[0], side):
            if phase.fast:
                return (
                    f"between its pulses the {side} motor coasted; so it sticks, then jumps to "
                    f"{max(recordings[0].tracks[side]):.2f} m/s"
                )
    return None


def more_than_needed(recordings: Recordings) -> str | None:
    """More duty than the wheel starts at."""
    recording = recordings[0]
    needs = needed(recording)
    over = {side: top_duty(recording, side) - needs[side] for side in SIDES}
    side = max(over, key=over.__getitem__)
    if over[side] > 0.02:
        given = percent(needs[side] + over[side])
        return f"the {side} wheel got {given}, and already starts at {percent(needs[side])}"
    return None
