"""The arm's servo."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.servo import Servo, pulse_us, slew
from robotsim.wiring import FLOATING, Signal


def _servo(serial=0):
    return Servo(Quirks.of(serial), random.Random(0))


def _pulse(us, freq=50.0):
    return Signal(us * 1e-6 * freq, freq)


def _go(servo, signal, duration=1.0, volts=4.8):
    around = FakeSurroundings()
    around.supply_volts = volts
    servo.drive("arm", signal)
    servo.advance(duration, around)
    return math.degrees(servo.angle)


@given(st.floats(800.0, 2250.0))
def test_a_pulse_sets_the_angle_it_stands_for(us):
    # 90 degrees a millisecond, 1.5 ms straight ahead; within the dead band of the start it stays.
    expected = (us - 1500.0) * 0.09
    assert _go(_servo(), _pulse(us)) == pytest.approx(expected, abs=0.45 + 1e-9)


def test_a_longer_pulse_turns_to_port():
    assert _go(_servo(), _pulse(1700)) > 0.0


@pytest.mark.parametrize("serial", range(1, 30))
def test_the_trim_shifts_straight_ahead(serial):
    trim = Quirks.of(serial).arm_trim_us
    servo = _servo(serial)
    _go(servo, _pulse(1000))
    assert _go(servo, _pulse(1500 + trim)) == pytest.approx(0.0, abs=1e-9)
    assert _go(servo, _pulse(2000)) == pytest.approx(45.0 - 0.09 * trim, abs=1e-9)


def test_the_arm_turns_steadily_and_eases_in_where_asked():
    servo, around = _servo(), FakeSurroundings()
    servo.drive("arm", _pulse(2000))
    servo.advance(0.002, around)  # the pulse of 2 ms has now been received
    assert servo.angle == 0.0 and servo.moving
    angles = []
    for _ in range(16):
        servo.advance(0.01, around)
        angles.append(math.degrees(servo.angle))
    # 500 degrees a second at 4.8 V: 5 degrees in each 10 ms, and from 40 on the way that is left
    # falls by the factor e in each.
    eased = [45 - 5 * math.exp(-k) for k in range(1, 6)]
    assert angles == pytest.approx([*range(5, 41, 5), *eased, 45, 45, 45], abs=0.03)
    assert servo.rate == 0.0 and not servo.moving


def test_a_small_step_is_a_slow_one():
    servo, around = _servo(), FakeSurroundings()
    fastest = 0.0
    for us in range(1500, 1800, 10):
        servo.drive("arm", _pulse(us))
        for _ in range(20):
            servo.advance(0.001, around)
            fastest = max(fastest, math.degrees(servo.rate))
    assert 45.0 < fastest < 120.0  # 0.9 degrees eased in over 10 ms; in one go it would be 500


def test_the_rate_tells_the_way_and_the_speed():
    servo, around = _servo(), FakeSurroundings()
    servo.drive("arm", _pulse(1000))
    servo.advance(0.02, around)
    assert math.degrees(servo.rate) == pytest.approx(-500.0)
    before = servo.angle
    servo.advance(0.01, around)
    assert servo.angle - before == pytest.approx(0.01 * servo.rate)


@pytest.mark.parametrize(
    ("us", "stop"), [(600, -63.0), (790, -63.0), (2260, 67.5), (2500, 67.5)]
)
def test_a_pulse_beyond_the_travel_presses_on_the_stop_and_stalls(us, stop):
    servo = _servo()
    assert _go(servo, _pulse(us)) == pytest.approx(stop)
    stalled = servo.amps
    _go(servo, _pulse(1500))
    assert stalled > 3 * servo.amps + 0.3
    assert servo.rate == 0.0


@pytest.mark.parametrize(
    "signal",
    [
        FLOATING, Signal(1.0, 0.0), Signal(1.0, 50.0), _pulse(300), _pulse(2700),
        _pulse(1000, freq=30.0), _pulse(1000, freq=400.0), Signal(0.5, 5000.0),
    ],
)  # fmt: skip
def test_what_is_no_servo_signal_lets_the_arm_stand(signal):
    servo = _servo()
    before = _go(servo, _pulse(2000))
    assert pulse_us(signal) is None
    assert _go(servo, signal) == before
    assert servo.amps < 0.02, "it is not driven"


@pytest.mark.parametrize("freq", [40.0, 50.0, 100.0, 330.0])
def test_frames_within_the_range_count_by_their_pulse_alone(freq):
    assert _go(_servo(), _pulse(2000, freq)) == pytest.approx(45.0)


def test_a_signal_taken_away_stops_the_arm_on_its_way():
    servo = _servo()
    on_the_way = _go(servo, _pulse(2000), duration=0.042)
    assert on_the_way == pytest.approx(20.0)  # 40 ms at 500 degrees a second
    servo.drive("arm", FLOATING)
    assert servo.rate == 0.0
    servo.advance(1.0, FakeSurroundings())
    assert math.degrees(servo.angle) == on_the_way


def test_a_train_cut_off_within_its_first_pulse_is_not_heard():
    servo = _servo()
    _go(servo, _pulse(2000), duration=0.001)
    assert _go(servo, FLOATING) == 0.0


def test_a_program_that_changes_the_pulse_all_the_time_is_still_followed():
    servo, around = _servo(), FakeSurroundings()
    for us in range(1500, 2001):  # one microsecond more each millisecond
        servo.drive("arm", _pulse(us))
        servo.advance(0.001, around)
    # It lags by what it turns in 10 ms at 90 degrees a second, and by the dead band.
    assert math.degrees(servo.angle) == pytest.approx(45.0 - 0.9, abs=0.45)


def test_small_changes_add_up_to_a_movement():
    servo = _servo()
    assert _go(servo, _pulse(1504)) == 0.0
    assert _go(servo, _pulse(1508)) == pytest.approx(0.72)


def test_speed_follows_the_supply_in_a_straight_line_and_ends_at_3_volts():
    # Through the two published points: 500 degrees/s at 4.8 V, 600 at 6.0 V.
    assert math.degrees(slew(5.4)) == pytest.approx(550.0)
    assert math.degrees(slew(4.2)) == pytest.approx(450.0)
    assert slew(2.9) == 0.0
    servo = _servo()
    assert _go(servo, _pulse(2000), volts=2.5) == 0.0
    assert _go(servo, _pulse(2000), volts=4.8) == pytest.approx(45.0)


def test_a_moving_arm_draws_more_than_one_at_rest():
    servo = _servo()
    _go(servo, _pulse(2000), duration=0.05)
    moving = servo.amps
    _go(servo, _pulse(2000))
    assert servo.amps < 0.02 < moving


@given(
    st.lists(st.tuples(st.integers(400, 2600), st.floats(1e-4, 0.1)), min_size=1, max_size=8),
    st.integers(2, 7),
)
def test_cutting_the_steps_finer_leaves_the_arm_where_it_was(moves, parts):
    whole, fine, around = _servo(3), _servo(3), FakeSurroundings()
    for us, duration in moves:
        for servo in (whole, fine):
            servo.drive("arm", _pulse(us))
        whole.advance(duration, around)
        for _ in range(parts):
            fine.advance(duration / parts, around)
    assert fine.angle == pytest.approx(whole.angle, abs=1e-9)
