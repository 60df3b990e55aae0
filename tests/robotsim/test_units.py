"""Units: conversions there and back, and angles brought into one turn."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import units

numbers = st.floats(-1e6, 1e6)


@given(numbers)
def test_degrees_and_radians_are_each_others_way_back(angle: float) -> None:
    assert units.rad(units.deg(angle)) == pytest.approx(angle)


@given(st.integers(0, 600 * units.SECOND))
def test_a_time_in_whole_nanoseconds_survives_its_way_over_seconds(time_ns: int) -> None:
    assert units.ns(units.seconds(time_ns)) == time_ns


@given(numbers)
def test_a_wrapped_angle_points_the_same_way_and_lies_within_half_a_turn(angle: float) -> None:
    wrapped = units.wrap(angle)
    assert -math.pi < wrapped <= math.pi
    assert math.sin(wrapped) == pytest.approx(math.sin(angle), abs=1e-9)
    assert math.cos(wrapped) == pytest.approx(math.cos(angle), abs=1e-9)


def test_half_a_turn_is_the_positive_one() -> None:
    assert units.wrap(math.pi) == units.wrap(-math.pi) == math.pi
    assert units.wrap(3 * math.pi) == math.pi


def test_the_steps_of_time_fit_each_other() -> None:
    assert units.SECOND == 1000 * units.MS == 1_000_000 * units.US == 10**9
