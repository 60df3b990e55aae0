"""The converter: a higher voltage never gives a lower count, and noise belongs to its moment."""

from __future__ import annotations

import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import run_trial
from robotsim.chance import Noise
from robotsim.converter import NOISE, OFFSETS, Converter

volts = st.floats(0.0, 5.0)
attenuations = st.integers(0, 3)
boards = st.builds(Converter, st.floats(1.0, 1.2), st.floats(-0.05, 0.05))


@given(boards, volts, attenuations, st.booleans())
def test_every_voltage_gives_a_twelve_bit_count(
    board: Converter, voltage: float, attenuation: int, noisy: bool
) -> None:
    if noisy:
        board.noise = Noise(random.Random(1))
    counts = {board.count(voltage, attenuation, 33, at) for at in range(20)}
    assert all(isinstance(count, int) and 0 <= count <= 4095 for count in counts)


@given(boards, volts, volts, attenuations)
def test_a_higher_voltage_never_gives_a_lower_count(
    board: Converter, one: float, two: float, attn: int
) -> None:
    assert board.count(min(one, two), attn) <= board.count(max(one, two), attn)


@given(boards, volts, st.integers(0, 2))
def test_more_attenuation_never_gives_a_higher_count(
    board: Converter, voltage: float, attenuation: int
) -> None:
    assert board.count(voltage, attenuation + 1) <= board.count(voltage, attenuation)


@pytest.mark.parametrize("attenuation", range(4))
def test_both_ends_are_reached_and_stay(attenuation: int) -> None:
    board = Converter()
    assert board.count(0.0, attenuation) == board.count(OFFSETS[attenuation], attenuation) == 0
    top = board.volts(4095, attenuation)
    assert board.count(top, attenuation) == board.count(99.0, attenuation) == 4095


@given(st.floats(1.0, 1.2), st.integers(1, 4094), attenuations)
def test_the_board_takes_a_count_for_the_voltage_that_gives_it(
    reference: float, count: int, attenuation: int
) -> None:
    board = Converter(reference)
    assert board.count(board.volts(count, attenuation), attenuation) == count
    told = board.microvolts(count, attenuation)
    assert told % 1000 == 0
    assert told / 1e6 == pytest.approx(board.volts(count, attenuation), abs=0.0005)


@pytest.mark.parametrize("attenuation", range(4))
def test_the_noise_is_in_counts_whatever_the_attenuation(attenuation: int) -> None:
    board = Converter(noise=Noise(random.Random(3)))
    seen = [board.count(0.7, attenuation, 33, 60_000 * k) for k in range(4000)]
    assert statistics.stdev(seen) == pytest.approx(NOISE, rel=0.05)
    quiet = Converter().count(0.7, attenuation)
    assert statistics.fmean(seen) == pytest.approx(quiet, abs=1.0)


# -- noise belongs to the moment -----------------------------------------------

READS = """
import time
from machine import ADC, I2C, Pin
battery = ADC(Pin(33), atten=ADC.ATTN_11DB)
eye = ADC(Pin(36), atten=ADC.ATTN_11DB)
bus = I2C(0, scl=Pin(22), sda=Pin(21))
bus.writeto_mem(0x68, 0x6B, b"\\0")
for k in range(20):
    time.sleep_us(10_000 * (k + 1) + 200_000 - time.ticks_us())
    {more}
    time.sleep_us(10_000 * (k + 1) + 205_000 - time.ticks_us())
    battery.read(), eye.read(), bus.readfrom_mem(0x68, 0x43, 6)
"""


def test_what_is_read_at_a_time_is_the_same_however_often_was_read_before() -> None:
    few, many = (
        run_trial(READS.format(more=more), seconds=1.0, serial=5)
        for more in ("pass", "[eye.read() for _ in range(7)]; battery.read_u16()")
    )
    late = [
        {(e.time_ns // 1_000_000, e.kind, e.data) for e in told.of("adc", "i2c")
         if e.time_ns // 1_000_000 % 10 >= 5}
        for told in (few, many)
    ]  # fmt: skip
    # To the microsecond the two come at other times, since their loops have other tails; so of
    # what is told only the rate, which the sensor samples on its own clock, must be equal.
    rates = [{event for event in side if event[1] == "i2c"} for side in late]
    assert rates[0] == rates[1] and len(rates[0]) > 15
    for told in (few, many):
        told.tracks.pop("busy")  # type: ignore[attr-defined]
    assert few.tracks == many.tracks
