"""The motion sensor."""

import math
import random
import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.chance import Silence
from robotsim.parts.motion import MotionSensor
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from tests.robotsim.parts.quiet import Quiet


def _sensor(serial=0, noise=None, awake=True):
    sensor = MotionSensor(Quirks.of(serial), noise or Quiet())
    if noise is None:
        sensor.hiss = Silence()
    if awake:
        sensor.transfer(b"\x6b\x00", 0, FakeSurroundings())
    return sensor


def _read(sensor, around, wait=0.01):
    """Give accelerations, temperature, rates as the seven numbers of the burst."""
    sensor.advance(wait, around)
    return struct.unpack(">7h", sensor.transfer(b"\x3b", 14, around))


def test_asleep_after_power_up_and_reading_nothing():
    sensor, around = _sensor(awake=False), FakeSurroundings()
    assert sensor.transfer(b"\x6b", 1, around) == b"\x40"
    assert _read(sensor, around) == (0,) * 7


def test_falling_asleep_keeps_the_last_sample():
    sensor, around = _sensor(), FakeSurroundings()
    around.turn_rate = 1.0
    turning = _read(sensor, around)
    sensor.transfer(b"\x6b\x40", 0, around)
    around.turn_rate = 0.0
    assert _read(sensor, around, wait=1.0) == turning
    sensor.transfer(b"\x6b\x00", 0, around)
    assert _read(sensor, around)[6] == 0


def test_reset_clears_settings_and_data_and_sleeps():
    sensor, around = _sensor(), FakeSurroundings()
    sensor.transfer(b"\x1b\x18", 0, around)
    _read(sensor, around)
    sensor.transfer(b"\x6b\x80", 0, around)
    assert sensor.transfer(b"\x1b", 1, around) == b"\x00"
    assert sensor.transfer(b"\x6b", 1, around) == b"\x40"
    assert sensor.transfer(b"\x3b", 14, around) == bytes(14)


def test_flat_and_still_it_feels_gravity_upward_only():
    x, y, z, _, gx, gy, gz = _read(_sensor(), FakeSurroundings())
    assert (x, y, z, gx, gy, gz) == (0, 0, 16384, 0, 0, 0)


def test_axes_and_signs_follow_the_tug():
    sensor, around = _sensor(), FakeSurroundings()
    around.speed, around.turn_rate, around.acceleration = 0.4, 2.0, 1.5
    x, y, _, _, _, _, gz = _read(sensor, around)
    assert x / 16384 * 9.80665 == pytest.approx(1.5, abs=1e-3)
    # In a turn to port it is pushed to port: v^2/R = speed * turn rate.
    assert y / 16384 * 9.80665 == pytest.approx(0.8, abs=1e-3)
    assert math.radians(gz / 131) == pytest.approx(2.0, abs=1e-3)


def test_the_pointer_stays_and_moves_on_by_itself():
    sensor, around = _sensor(), FakeSurroundings()
    _read(sensor, around)
    sensor.transfer(b"\x3f", 0, around)
    assert sensor.transfer(b"", 1, around) == b"\x40"
    assert sensor.transfer(b"", 1, around) == b"\x00"
    assert sensor.transfer(b"\x75", 1, around) == b"\x68"


def test_several_registers_are_written_in_one_transfer():
    sensor, around = _sensor(), FakeSurroundings()
    sensor.transfer(b"\x19\x07\x03\x08\x10", 0, around)
    assert sensor.transfer(b"\x19", 4, around) == b"\x07\x03\x08\x10"


def test_read_only_registers_stay_as_they_are():
    sensor, around = _sensor(), FakeSurroundings()
    before = _read(sensor, around)
    sensor.transfer(b"\x75\x12", 0, around)
    sensor.transfer(b"\x3b" + bytes(range(1, 15)), 0, around)
    assert sensor.transfer(b"\x75", 1, around) == b"\x68"
    assert struct.unpack(">7h", sensor.transfer(b"\x3b", 14, around)) == before


def test_an_empty_transfer_is_answered_so_that_a_scan_finds_it():
    assert _sensor().transfer(b"", 0, FakeSurroundings()) == b""


@pytest.mark.parametrize(("rate", "edge"), [(100.0, 32767), (-100.0, -32768)])
def test_too_fast_a_turn_stops_at_the_end_of_the_range(rate, edge):
    sensor, around = _sensor(), FakeSurroundings()
    around.turn_rate = rate
    assert _read(sensor, around)[6] == edge


def test_the_bias_of_the_tug_shows_at_rest():
    quirks = Quirks.of(11)
    values = _read(_sensor(11), FakeSurroundings())
    for raw, bias in zip(values[4:], quirks.gyro_bias, strict=True):
        assert raw == pytest.approx(math.degrees(bias) * 131, abs=0.51)
    for raw, true, bias in zip(values[:3], (0.0, 0.0, 9.80665), quirks.accel_bias, strict=True):
        assert raw == pytest.approx((true + bias) / 9.80665 * 16384, abs=0.51)


def test_a_new_sample_comes_only_at_the_sample_rate():
    sensor, around = _sensor(noise=random.Random(1)), FakeSurroundings()
    sensor.transfer(b"\x19\x63\x01", 0, around)  # 1 kHz / (1 + 99) = 10 Hz
    first = _read(sensor, around, wait=0.11)
    assert _read(sensor, around, wait=0.05) == first
    assert _read(sensor, around, wait=0.05) != first


@pytest.mark.parametrize("divider", [0, 1, 4, 9, 19, 99])
def test_summed_times_do_not_lose_a_tick(divider):
    # Each wait is one sample: every reading is a new one, though a sum of 0.01 s falls short of
    # whole numbers in the last digit.
    sensor, around = _sensor(noise=random.Random(1)), FakeSurroundings()
    sensor.transfer(bytes((0x19, divider, 0x01)), 0, around)
    rows = [_read(sensor, around, wait=(1 + divider) / 1000) for _ in range(500)]
    assert sum(a != b for a, b in zip(rows, rows[1:], strict=False)) == 499


def test_setting_a_register_to_what_it_was_does_not_start_the_sampling_anew():
    sensor, around = _sensor(noise=random.Random(1)), FakeSurroundings()
    sensor.transfer(b"\x19\x63\x01", 0, around)  # a sample each 100 ms
    first = _read(sensor, around, wait=0.16)
    sensor.transfer(b"\x19\x63", 0, around)
    sensor.transfer(b"\x6b\x00", 0, around)
    assert _read(sensor, around, wait=0.05) != first


@given(st.floats(-4.0, 4.0), st.integers(0, 6), st.integers(2, 9))
def test_cutting_the_steps_finer_gives_the_same_low_pass(ramp, setting, parts):
    """A rate that changes evenly: the filter's step is then exact whatever its length."""
    outcomes = []
    for cuts in (1, parts):
        sensor, around = _sensor(), FakeSurroundings()
        sensor.transfer(bytes((0x1A, setting)), 0, around)
        sensor.advance(0.001, around)
        for _ in range(10 * cuts):
            around.turn_rate += ramp * 0.01 / cuts
            sensor.advance(0.01 / cuts, around)
        outcomes.append(_read(sensor, around, wait=0.01)[6])
    assert abs(outcomes[0] - outcomes[1]) <= 1


def test_the_narrowest_filter_smooths_a_sudden_turn():
    narrow, wide = _sensor(), _sensor()
    around = FakeSurroundings()
    narrow.transfer(b"\x1a\x06", 0, around)
    for sensor in (narrow, wide):
        around.turn_rate = 0.0
        sensor.advance(0.01, around)
        around.turn_rate = 2.0
        sensor.advance(0.001, around)
    slow, quick = _read(narrow, around, wait=0.009)[6], _read(wide, around, wait=0.009)[6]
    assert quick == pytest.approx(math.degrees(2.0) * 131, rel=0.01)
    assert 0.2 * quick < slow < 0.6 * quick


def test_awake_it_draws_more_than_asleep():
    assert _sensor().amps > 100 * _sensor(awake=False).amps > 0.0
