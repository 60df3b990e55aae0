"""Evidence of mistakes in the arm's pulses, read from its pin.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import math

from robotsim import PINS, Recording

from ...readings.arm import FRAME_US, Train, pulses, trains, us_of
from .ways import ASKED, STATION_S, on_stop, stations

__all__ = [
    "cut_off", "hurried", "mirrored", "no_pulses", "not_by_duty", "other_degrees", "other_frame",
    "other_order", "other_pulse", "pressed", "shifted", "too_long", "wrong_frequency",
    "wrong_pin", "wrong_scale",
]  # fmt: skip


_TOO_SHORT_US = 480.0
"""A little below the shortest pulse that a servo hears: 500 us may be meant as 500."""


# -- pulses that no servo follows --------------------------------------------


def wrong_pin(recording: Recording) -> str | None:
    """Pulses on pins, and none on the arm's."""
    if any(True for _ in recording.of("pwm", pin=PINS["arm"])):
        return None
    others = sorted({event.data[0] for event in recording.of("pwm")})
    if not others:
        return None
    return f"pin {others[0]} got pulses, but the arm hangs on pin {PINS['arm']}"


def no_pulses(recording: Recording) -> str | None:
    """The arm's pin got nothing but steady levels."""
    if any(train.number and train.freq_hz for train in trains(recording)):
        return None
    if pulses(recording, 0.0):
        return None  # an order was given, and called off at once
    return f"pin {PINS['arm']} never put out pulses for 2 ms or more"


def wrong_scale(recording: Recording) -> str | None:
    """Pulses much too short: the number belongs to another scale."""
    for train in trains(recording):
        if train.framed and train.us < _TOO_SHORT_US:
            return (
                f"at {train.begin:.2f} s pulses of {train.us:.1f} us came out "
                f"(number {train.number} of 65535), and a servo hears none below about 500"
            )
    return None


def wrong_frequency(recording: Recording) -> str | None:
    """Pulses too often or too seldom."""
    for train in trains(recording, 0.05):
        if train.number and train.freq_hz and not 45.0 <= train.freq_hz <= 55.0:
            part = 100 * train.number / 65536
            return (
                f"{train.freq_hz:g} pulses came in a second, so {part:.1f} % of the time "
                f"was a pulse of {train.us:.0f} us"
            )
    return None


def too_long(recording: Recording) -> str | None:
    """Pulses too long for a servo, or no pause at all."""
    for train in trains(recording, 0.05):
        if train.framed and train.us > 2500.0:
            part = 100 * train.number / 65536
            return (
                f"at {train.begin:.2f} s pulses of {train.us / 1000:.1f} ms came out, {part:.0f} % "
                "of the 20 ms from one to the next, and a servo hears none above about 2.5 ms"
            )
    return None


def pressed(recording: Recording) -> str | None:
    """The arm pressed on its stop."""
    train = on_stop(recording)
    if train is None:
        return None
    side = "starboard" if train.us < 1500.0 else "port"
    amps = recording.at("amps", min(train.begin + 0.35, train.end - 0.01))
    return (
        f"from {train.begin:.2f} s on pulses of {train.us:.0f} us pressed the arm on its "
        f"{side} stop; the tug drew {amps:.2f} A"
    )


# -- arm.pulses --------------------------------------------------------------


def _three(recording: Recording) -> list[Train]:
    """Give the orders as they came if there were three, heard or not."""
    orders = [train for train in trains(recording, STATION_S) if train.framed]
    return orders[:3] if len(orders) in (3, 4) else []


def other_frame(recording: Recording) -> str | None:
    """All three pulses too long or too short by one factor."""
    factors = [t.us / us_of(a) for t, a in zip(_three(recording), ASKED, strict=False)]
    if not factors or max(factors) > 1.03 * min(factors) or 0.95 < factors[0] < 1.05:
        return None
    mean = sum(factors) / len(factors)
    return f"all three pulses were {mean:.2f} times as long as they should be"


def _degree_factor(recording: Recording) -> float | None:
    """Give by what the angles are multiplied, if both that are not 0 are by the same."""
    orders = _three(recording)
    if not orders or abs(orders[1].us - 1500.0) > 25.0:
        return None
    factors = [(orders[k].us - 1500.0) / (us_of(ASKED[k]) - 1500.0) for k in (0, 2)]
    return sum(factors) / 2 if abs(factors[0] - factors[1]) < 0.08 else None


def mirrored(recording: Recording) -> str | None:
    """Angles to the wrong side."""
    factor = _degree_factor(recording)
    if factor is None or not -1.1 < factor < -0.9:
        return None
    return f"for -45 degrees the arm went to {_three_angle(recording):.0f}"


def _three_angle(recording: Recording) -> float:
    return math.degrees(recording.at("arm", _three(recording)[0].end - 0.01))


def other_degrees(recording: Recording) -> str | None:
    """Angles all too large or too small by one factor."""
    factor = _degree_factor(recording)
    if factor is None or 0.93 < factor < 1.07 or abs(factor) < 0.05:
        return None
    return f"both angles came out {factor:.2f} times as large, -45 as {-45 * factor:.0f} degrees"


def hurried(recording: Recording) -> str | None:
    """An order followed by the next before the arm has been there for long."""
    short = [t for t in pulses(recording, 0.0) if t.seconds < 0.9]
    if not short or len({round(t.us) for t in pulses(recording, 0.0)}) < 2:
        return None
    first = short[0]
    there = math.degrees(recording.at("arm", first.end))
    return (
        f"the order of {first.us:.0f} us at {first.begin:.2f} s stood for {first.seconds:.3f} s; "
        f"when the next came the arm was at {there:.0f} degrees"
    )


def cut_off(recording: Recording) -> str | None:
    """A number of the coarse scale cut off where it should be rounded."""
    for station, angle in zip(stations(recording), ASKED, strict=True):
        if station is None or station.number % 64:
            continue
        off = station.us - us_of(angle)
        if -20.0 < off < -6.0:
            exact = us_of(angle) / FRAME_US * 1023
            return (
                f"duty {station.number // 64} made {station.us:.0f} us; "
                f"{us_of(angle):.0f} us are {exact:.1f}, nearer to {round(exact)}"
            )
    return None


def shifted(recording: Recording) -> str | None:
    """All pulses off by the same: a trim where none was asked."""
    found = [s for s in stations(recording) if s is not None]
    if len(found) < 3:
        return None
    offs = [s.us - us_of(a) for s, a in zip(found, ASKED, strict=True)]
    mean = sum(offs) / 3
    if 6.0 < abs(mean) < 70.0 and max(offs) - min(offs) < 12.0:
        return f"all three pulses are {abs(mean):.0f} us too {'long' if mean > 0 else 'short'}"
    return None


def other_order(recording: Recording) -> str | None:
    """The right pulses in another order."""
    orders = _three(recording)
    wanted = [us_of(angle) for angle in ASKED]
    if not orders or all(abs(t.us - us) < 20 for t, us in zip(orders, wanted, strict=True)):
        return None
    if all(abs(a - b) < 20 for a, b in zip(sorted(t.us for t in orders), wanted, strict=True)):
        return f"the pulses came as {', '.join(f'{t.us:.0f}' for t in orders)} us"
    return None


def not_by_duty(recording: Recording) -> str | None:
    """A third pulse that the coarse scale cannot make."""
    last = stations(recording)[2]
    if last is None or not last.number % 64 or abs(last.us - us_of(ASKED[2])) > 6.0:
        return None
    near = round(last.number / 64)
    made = near * 64 / 65536 * FRAME_US
    return f"the last pulse was {last.us:.1f} us; duty({near}) makes {made:.1f}"


def other_pulse(recording: Recording) -> str | None:
    """A pulse that is none of the three, whatever the reason, or one that is missing."""
    for station, angle in zip(stations(recording), ASKED, strict=True):
        if station is None:
            return f"for {angle:.0f} degrees no order came, or it stood for less than {STATION_S} s"
        if abs(station.us - us_of(angle)) > 6.0:
            return f"for {angle:.0f} degrees {station.us:.0f} us came out, not {us_of(angle):.0f}"
    return None
