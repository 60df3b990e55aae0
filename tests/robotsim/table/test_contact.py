"""Impulses in a contact: momentum, restitution, friction, energy."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.table.contact import Row, resolve

EASE = (1 / 0.34, 1 / 0.34, 1 / 5.7e-4, 1 / 0.024, 1 / 0.024)
SPEEDS = st.tuples(*[st.floats(-1, 1)] * 2, st.floats(-8, 8), *[st.floats(-1, 1)] * 2)
ANGLE = st.floats(-math.pi, math.pi)


def energy(speeds):
    return sum(0.5 * v * v / e for v, e in zip(speeds, EASE, strict=True))


def test_a_head_on_collision_keeps_momentum_and_sends_back_the_share_of_the_approach():
    row = Row((-1, 0, 0, 1, 0), bounce=0.5)
    after = resolve([row], (0.4, 0, 0, 0, 0), EASE)
    assert 0.34 * after[0] + 0.024 * after[3] == pytest.approx(0.34 * 0.4)
    assert after[3] - after[0] == pytest.approx(0.5 * 0.4)
    assert row.impulse == pytest.approx(1.5 * 0.4 / (1 / 0.34 + 1 / 0.024))


def test_things_that_part_are_left_alone():
    speeds = (0.1, 0.2, 1.0, 0.5, 0.0)
    assert resolve([Row((-1, 0, 0, 1, 0), bounce=0.5)], speeds, EASE) == speeds


def test_a_struck_point_off_the_middle_turns_the_body():
    # J = (1 + e) v / (1/m + 1/M + r^2/I), textbook.
    row = Row((0, -1, -0.08, 0, 1), surface=-0.25, bounce=0.5)
    after = resolve([row], (0, 0, 0, 0, 0), EASE)
    impulse = 1.5 * 0.25 / (EASE[3] + EASE[0] + 0.08**2 * EASE[2])
    assert row.impulse == pytest.approx(impulse)
    assert after == pytest.approx(
        (0, -impulse * EASE[1], -0.08 * impulse * EASE[2], 0, impulse * EASE[4])
    )


def test_a_slow_approach_does_not_bounce():
    after = resolve([Row((1, 0, 0, 0, 0), bounce=0.9)], (-0.005, 0, 0, 0, 0), EASE)
    assert after[0] == pytest.approx(0.0, abs=1e-12)


def test_friction_takes_no_more_than_its_share_of_the_push():
    row = Row((1, 0, 0, 0, 0))
    rub = Row((0, 1, 0, 0, 0), friction=0.2, leader=row)
    after = resolve([row, rub], (-0.5, 0.4, 0, 0, 0), EASE)
    assert after[1] == pytest.approx(0.4 - 0.2 * 0.5)
    after = resolve([row, rub], (-0.5, 0.05, 0, 0, 0), EASE)
    assert after[1] == pytest.approx(0.0, abs=1e-12)


@settings(deadline=None)
@given(SPEEDS, ANGLE, ANGLE, ANGLE, st.floats(-0.09, 0.09), st.floats(0, 0.002))
def test_energy_never_grows_whatever_meets_at_once(speeds, a, b, c, lever, limit):
    hull = Row((math.cos(a), math.sin(a), 0, 0, 0), bounce=0.1)
    rows = [
        hull,
        Row((-math.sin(a), math.cos(a), -0.058, 0, 0), friction=0.2, leader=hull),
        Row((-math.cos(b), -math.sin(b), -lever, math.cos(b), math.sin(b)), bounce=0.5),
        Row((0, 0, 0, math.cos(c), math.sin(c)), bounce=0.5),
        Row((0, 1, 0, 0, 0), limit=limit),
    ]
    after = resolve(rows, speeds, EASE)
    assert energy(after) <= energy(speeds) * (1 + 1e-9) + 1e-15
    assert all(row.impulse >= 0 for row in (rows[0], rows[2], rows[3]))


@settings(deadline=None, max_examples=200)
@given(SPEEDS, ANGLE, st.floats(0, 0.002))
def test_what_is_written_out_for_one_hull_is_the_same_as_for_any_number(speeds, a, limit):
    def rows(more):
        row = Row((math.cos(a), math.sin(a), 0, 0, 0, *more), bounce=0.3)
        return [
            row, Row((-math.sin(a), math.cos(a), 0.05, 0, 0, *more), friction=0.2, leader=row),
            Row((-1, 0, 0.02, 1, 0, *more), bounce=0.5), Row((0, 1, 0, 0, 0, *more), limit=limit),
        ]  # fmt: skip

    one = resolve(rows(()), speeds, EASE)
    two = resolve(rows((0, 0, 0)), (*speeds, 0.1, 0.2, 0.3), EASE + EASE[:3])
    assert two[:5] == pytest.approx(one, abs=1e-9) and two[5:] == (0.1, 0.2, 0.3)
