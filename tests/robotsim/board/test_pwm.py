"""The pulse unit: channels, timers and scales, for every frequency and duty."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.board.faults import BoardFault
from robotsim.board.pwm import CHANNELS, MAX_HZ, TIMERS, Channel, PwmUnit, resolution_bits

frequencies = st.integers(1, MAX_HZ) | st.integers(1, 100_000)
duties = st.integers(0, 65535)


@given(frequencies, duties)
def test_what_comes_out_is_what_was_asked_for_cut_to_the_timers_steps(freq: int, duty: int) -> None:
    out = Channel(freq, duty).output_u16
    step = 1 << (16 - resolution_bits(freq))
    if duty == 65535:
        assert out == 65535
    else:
        assert out % step == 0
        assert 0 <= duty - out < step


@given(frequencies, duties, duties)
def test_a_greater_duty_never_gives_less(freq: int, one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert Channel(freq, low).output_u16 <= Channel(freq, high).output_u16


@given(frequencies)
def test_finer_steps_never_come_with_a_higher_frequency(freq: int) -> None:
    assert resolution_bits(min(2 * freq, MAX_HZ)) <= resolution_bits(freq)
    assert 80_000_000 / freq >= 2 ** resolution_bits(freq)


@given(st.integers(1, 2000), duties)
def test_the_three_scales_read_back_the_same_pulse(freq: int, duty: int) -> None:
    channel = Channel(freq, duty)
    share = 1.0 if channel.output_u16 == 65535 else channel.output_u16 / 65536
    assert channel.duty_ns == pytest.approx(share * 1e9 / freq, abs=0.5)
    assert channel.duty == channel.output_u16 >> 6


@given(st.integers(1, 1000), st.integers(0, 1023))
def test_the_ten_bit_scale_reads_back_what_was_set(freq: int, duty: int) -> None:
    unit = PwmUnit()
    unit.start(25, freq)
    assert unit.set_duty(25, "10", duty).duty == duty


def test_channels_of_one_frequency_share_a_timer() -> None:
    unit = PwmUnit()
    for pin in range(CHANNELS):
        unit.start(pin, 1000 + pin % TIMERS)
    with pytest.raises(BoardFault, match="out of PWM channels:16"):
        unit.start(16, 1000)
    with pytest.raises(BoardFault, match="out of PWM timers:8"):
        unit.start(0, 2000)
    assert unit.channels[0].freq_hz == 1000, "a fault leaves everything as it was"


def test_a_timer_is_free_again_when_its_last_channel_goes() -> None:
    unit = PwmUnit()
    for pin in range(TIMERS):
        unit.start(pin, 100 + pin)
    unit.stop(3)
    unit.start(20, 999)
    with pytest.raises(BoardFault):
        unit.start(21, 998)


def test_a_channel_keeps_its_duty_when_its_frequency_changes() -> None:
    unit = PwmUnit()
    unit.start(25, 1000)
    unit.set_duty(25, "u16", 12345)
    assert unit.start(25, 50).duty_u16 == 12345


def test_a_lone_channel_may_change_its_frequency_when_all_timers_are_taken() -> None:
    unit = PwmUnit()
    for pin in range(TIMERS):
        unit.start(pin, 100 + pin)
    assert unit.start(0, 5000).freq_hz == 5000


@pytest.mark.parametrize(("scale", "top"), [("u16", 65535), ("10", 1023), ("ns", 10**9)])
def test_a_duty_outside_its_scale_is_refused(scale: str, top: int) -> None:
    unit = PwmUnit()
    unit.start(25, 1)
    assert unit.set_duty(25, scale, top).output_u16 == 65535
    for value in (-1, top + 1):
        with pytest.raises(ValueError, match=str(value)):
            unit.set_duty(25, scale, value)
