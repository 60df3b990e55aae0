"""The servo against what is published of hobby servos.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic, P common practice without a source.
"""

import math
import random

import pytest

from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.servo import Servo
from robotsim.wiring import Signal, duty_share
from tests.published.table import Tell

SHEET = "9 g class (T)"

# Not here: 0.18 s for 60 degrees of the metal-gear standard class (T); the tug has the 9 g class.

DEAD_BAND_DEG = 5.0 * 0.09  # 5 us (T) of a travel of 90 degrees a millisecond


def _servo():
    return Servo(Quirks.of(0), random.Random(0))


def _settled(servo, signal):
    servo.drive("arm", signal)
    servo.advance(2.0, FakeSurroundings())
    return math.degrees(servo.angle)


@pytest.mark.parametrize(("pulse_ms", "angle"), [(1.0, -45.0), (1.5, 0.0), (2.0, 45.0)])
def test_the_usual_three_pulses(pulse_ms, angle, tell: Tell):
    # Futaba practice: 1.0, 1.5, 2.0 ms in a frame of 20 ms (R); the tug's 90 degrees for them.
    servo = _servo()
    _settled(servo, Signal(0.0625, 50.0))  # from elsewhere: 1.25 ms
    ours = _settled(servo, Signal(pulse_ms / 20.0, 50.0))
    what = "pulses of 1.0, 1.5, 2.0 ms turn the arm to, degrees"
    assert tell(what, angle, ours, "Futaba practice (R), 90 degrees a ms ours") == pytest.approx(
        angle, abs=1e-6
    )


@pytest.mark.parametrize(
    ("percent", "of_1023", "of_65535", "angle"),
    [(5.0, 51, 3277, -45.0), (7.5, 77, 4915, 0.0), (10.0, 102, 6554, 45.0)],
)
def test_the_same_pulse_in_three_scales(percent, of_1023, of_65535, angle):
    # 1.0 ms = 5 % = 51/1023 = 3277/65535 at 50 Hz, and so on (A).  The ten-bit number is
    # 1/1023 of 20 ms = 19.6 us coarse: half of that is 0.9 degrees.
    servo = _servo()
    for duty, step_us in (
        (percent / 100.0, 0.0), (of_1023 / 1023.0, 19.6), (duty_share(of_65535), 0.31),
    ):  # fmt: skip
        _settled(servo, Signal(0.0625, 50.0))
        allowed = step_us / 2 * 0.09 + 0.05
        assert _settled(servo, Signal(duty, 50.0)) == pytest.approx(angle, abs=allowed)


@pytest.mark.parametrize(("volts", "published"), [(4.8, 0.12), (6.0, 0.10)])
def test_time_for_60_degrees(volts, published, tell: Tell):
    # Small 9 g class: 0.12 s for 60 degrees at 4.8 V, 0.10 s at 6 V (T); +-10 %.
    servo, around = _servo(), FakeSurroundings()
    around.supply_volts = volts
    servo.drive("arm", Signal(0.05, 50.0))
    servo.advance(1.0, around)
    begun = servo.angle
    servo.drive("arm", Signal(0.10, 50.0))
    started = taken = None
    for k in range(2000):
        servo.advance(1e-4, around)
        if started is None and servo.angle > begun:
            started = k
        if servo.angle - begun >= math.radians(60.0):
            taken = (k - started + 1) * 1e-4
            break
    what = "60 degrees at 4.8, 6.0 V, s"
    assert tell(what, published, taken, SHEET) == pytest.approx(published, rel=0.10)


@pytest.mark.parametrize("way", [-1, 1])
def test_dead_band(way, tell: Tell):
    # 9 g class: dead band 5 us (T).
    servo = _servo()
    before = _settled(servo, Signal(1600e-6 * 50.0, 50.0))
    assert _settled(servo, Signal((1600 + way * 4.9) * 1e-6 * 50.0, 50.0)) == before
    for tenths in range(1, 100):
        if _settled(servo, Signal((1600 + way * tenths / 10) * 1e-6 * 50.0, 50.0)) != before:
            break
    tell("change of pulse that it answers, us", 5, tenths / 10, SHEET)
    _settled(servo, Signal(1600e-6 * 50.0, 50.0))
    moved = _settled(servo, Signal((1600 + way * 5.1) * 1e-6 * 50.0, 50.0))
    assert abs(moved - before) == pytest.approx(5.1 * 0.09) and abs(moved - before) > DEAD_BAND_DEG


def test_travel_reaches_beyond_the_usual_pulses_and_ends(tell: Tell):
    # Usable travel often reaches about 0.8 to 2.25 ms (P).
    servo = _servo()
    ends = []
    for last_us, beyond_us in ((800, 700), (2250, 2400)):
        at_stop = _settled(servo, Signal(last_us * 1e-6 * 50, 50.0))
        assert _settled(servo, Signal(beyond_us * 1e-6 * 50, 50.0)) == pytest.approx(at_stop)
        ends.append(1500 + at_stop / 0.09)
    ours = tell("travel ends at pulses of, us", (800, 2250), ends, "common practice (P)")
    assert ours == pytest.approx([800, 2250])
