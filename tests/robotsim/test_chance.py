"""Chance: noise is normal, free of its neighbours, and the same for every reader."""

from __future__ import annotations

import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from robotsim.chance import Noise, Silence

COUNT = 20_000


@pytest.mark.parametrize("stride", [1, 256, 60_000, 1_000_000, 10_000_000])
def test_it_is_normal_and_free_of_its_neighbours_at_any_rate_of_reading(stride: int) -> None:
    noise = Noise(random.Random(stride))
    seen = [noise.normal(33, 5_000_000 + stride * k) for k in range(COUNT)]
    assert stats.kstest(seen, "norm").statistic < 0.012  # 1.63 / sqrt(n): one in a hundred
    for lag in (1, 2, 3, 7, 16):
        assert abs(statistics.correlation(seen[lag:], seen[:-lag])) < 0.03, lag


@given(st.integers(0, 2**40), st.integers(0, 60), st.integers(1, 40))
def test_sources_are_free_of_each_other(since: int, source: int, apart: int) -> None:
    noise = Noise(random.Random(7))
    one, other = (
        [noise.normal(s, since + 60_000 * k) for k in range(1500)]
        for s in (source, source + apart)
    )
    assert abs(statistics.correlation(one, other)) < 0.15


@given(st.lists(st.integers(-(2**40), 2**50), min_size=1, max_size=20))
def test_a_moment_has_its_number_in_whatever_order_it_is_asked(moments: list[int]) -> None:
    noise = Noise(random.Random(2))
    there = {moment: noise.normal(1, moment) for moment in moments}
    assert all(noise.normal(1, moment) == there[moment] for moment in reversed(moments))
    assert Noise(random.Random(2)).normal(1, moments[0]) == there[moments[0]]


@pytest.mark.parametrize("band", [5.0, 98.0])
def test_wandering_noise_has_the_same_size_at_every_time(band: float) -> None:
    noise = Noise(random.Random(4))
    for phase in (0.0, 0.25, 0.5, 0.9):
        seen = [noise.wander(3, (k + phase) / (3 * band), band) for k in range(4000)]
        assert statistics.stdev(seen) == pytest.approx(1.0, rel=0.05), phase


def test_silence_is_silent() -> None:
    assert Silence().normal(1, 2) == 0.0 == Silence().wander(1, 0.3, 50.0)
