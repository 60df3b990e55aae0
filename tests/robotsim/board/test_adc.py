"""The converter: every voltage gives a count, a higher voltage never a lower one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.board.adc import FULL_SCALE, counts, microvolts

volts = st.floats(0.0, 5.0)
attenuations = st.integers(0, 3)


@given(volts, attenuations)
def test_every_voltage_gives_a_twelve_bit_count(voltage: float, attenuation: int) -> None:
    assert 0 <= counts(voltage, attenuation) <= 4095


@given(volts, volts, attenuations)
def test_a_higher_voltage_never_gives_a_lower_count(one: float, two: float, attn: int) -> None:
    assert counts(min(one, two), attn) <= counts(max(one, two), attn)


@given(volts, st.integers(0, 2))
def test_more_attenuation_never_gives_a_higher_count(voltage: float, attenuation: int) -> None:
    assert counts(voltage, attenuation + 1) <= counts(voltage, attenuation)


@pytest.mark.parametrize("attenuation", range(4))
def test_both_ends_are_reached_and_stay(attenuation: int) -> None:
    assert counts(0.0, attenuation) == counts(0.05, attenuation) == 0
    assert counts(FULL_SCALE[attenuation], attenuation) == counts(99.0, attenuation) == 4095


@given(st.integers(0, 4095), attenuations)
def test_the_board_tells_a_count_in_whole_millivolts(count: int, attenuation: int) -> None:
    told = microvolts(count, attenuation)
    assert told % 1000 == 0
    assert told / 1e6 == pytest.approx(count * FULL_SCALE[attenuation] / 4095, abs=0.0005)
