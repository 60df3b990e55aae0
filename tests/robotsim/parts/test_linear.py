"""The closed-form step against scipy's matrix exponential, for matrices of every kind."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.linalg import expm

from robotsim.parts.linear import advance

entries = st.floats(-50.0, 50.0)
matrices = st.one_of(
    st.tuples(entries, entries, entries, entries),
    st.tuples(entries, st.just(0.0), st.just(0.0), entries),
    st.builds(lambda a, b: (a, b, 0.0, a), entries, entries),  # equal eigenvalues
    st.builds(lambda a, b, k: (a, b, k * a, k * b), entries, entries, st.floats(-3, 3)),  # singular
    st.builds(lambda a, w: (a, -w, w, a), entries, entries),  # complex eigenvalues
    st.just((0.0, 0.0, 0.0, 0.0)),
)
pairs = st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0))
durations = st.floats(0.0, 0.1)


def exact(matrix, state, rate, duration):
    """Give state and integral by the exponential of the augmented matrix (Van Loan's device)."""
    a = np.array(matrix).reshape(2, 2)
    push = np.array(rate) - a @ np.array(state)
    big = np.zeros((5, 5))
    big[:2, :2], big[:2, 4], big[2:4, :2] = a, push, np.eye(2)
    done = expm(big * duration) @ np.array([*state, 0.0, 0.0, 1.0])
    return done[:2], done[2:4]


@given(matrices, pairs, pairs, durations)
def test_a_step_agrees_with_the_matrix_exponential(matrix, state, rate, duration):
    after, path = advance(matrix, state, rate, duration)
    true_after, true_path = exact(matrix, state, rate, duration)
    size = max(1.0, *np.abs(true_after))
    assert after == pytest.approx(true_after, abs=1e-8 * size)
    assert path == pytest.approx(true_path, abs=1e-9 * size)


@given(matrices, pairs, pairs, durations, st.floats(0.0, 1.0))
def test_two_steps_are_one(matrix, state, rate, duration, share):
    whole, path = advance(matrix, state, rate, duration)
    middle, first = advance(matrix, state, rate, share * duration)
    a11, a12, a21, a22 = matrix
    dx, dy = middle[0] - state[0], middle[1] - state[1]
    later = (rate[0] + a11 * dx + a12 * dy, rate[1] + a21 * dx + a22 * dy)
    end, second = advance(matrix, middle, later, (1.0 - share) * duration)
    size = max(1.0, *map(abs, whole))
    assert end == pytest.approx(whole, abs=1e-7 * size)
    assert [p + q for p, q in zip(first, second, strict=True)] == pytest.approx(
        path, abs=1e-8 * size
    )


@given(matrices, pairs, pairs)
def test_no_time_changes_nothing(matrix, state, rate):
    assert advance(matrix, state, rate, 0.0) == (state, (0.0, 0.0))


@given(matrices, pairs, durations)
def test_what_rests_stays(matrix, state, duration):
    assert advance(matrix, state, (0.0, 0.0), duration)[0] == state


@given(st.floats(-1e4, -1e-3), st.floats(-1e4, -1e-3), pairs, st.floats(1.0, 100.0))
def test_a_stable_pair_settles_even_after_a_very_long_step(one, other, state, factor):
    assume(max(one, other) * factor < -40)
    matrix = (one, 0.0, 0.0, other)
    rate = (one * state[0], other * state[1])  # towards 0
    assert advance(matrix, state, rate, factor)[0] == pytest.approx((0.0, 0.0), abs=1e-6)
