"""The float on the floor: closed forms that do not mind how time is cut."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.table.ball import Ball

SPEED = st.floats(-1.5, 1.5)


@settings(deadline=None)
@given(SPEED, SPEED, SPEED, SPEED, st.lists(st.floats(1e-4, 0.3), min_size=2, max_size=9))
def test_many_steps_agree_with_one(vx, vy, rim_x, rim_y, pieces):
    one, many = (Ball(0.3, 0.2, vx, vy, rim_x, rim_y) for _ in range(2))
    one.advance(sum(pieces))
    for piece in pieces:
        many.advance(piece)
    assert (one.x, one.y, one.vx, one.vy) == pytest.approx(
        (many.x, many.y, many.vx, many.vy), abs=1e-9
    )


@settings(deadline=None)
@given(SPEED, SPEED, SPEED, SPEED)
def test_energy_only_falls_and_the_float_stops_for_good(vx, vy, rim_x, rim_y):
    ball = Ball(0.0, 0.0, vx, vy, rim_x, rim_y)
    energy = ball.energy
    for _ in range(50):
        ball.advance(0.02)
        assert ball.energy <= energy * (1 + 1e-12)
        energy = ball.energy
    ball.advance(60.0)
    assert ball.still
    place = (ball.x, ball.y)
    ball.advance(60.0)
    assert (ball.x, ball.y) == place


@settings(deadline=None)
@given(SPEED, SPEED, SPEED, SPEED)
def test_what_floor_friction_cannot_change_is_kept_while_it_slides(vx, vy, rim_x, rim_y):
    ball = Ball(0.0, 0.0, vx, vy, rim_x, rim_y, rolling=0.0)
    before = (vx + ball.inertia * rim_x, vy + ball.inertia * rim_y)
    ball.advance(2.0)
    assert (ball.vx, ball.vy) == pytest.approx((ball.rim_x, ball.rim_y), abs=1e-9)
    assert tuple((1 + ball.inertia) * v for v in (ball.vx, ball.vy)) == pytest.approx(
        before, abs=1e-9
    )


def test_a_ball_with_backspin_comes_back():
    ball = Ball(0.0, 0.0, vx=0.2, rim_x=-1.0)
    ball.advance(0.5)
    assert ball.vx < 0 and math.isclose(ball.vx, ball.rim_x)
