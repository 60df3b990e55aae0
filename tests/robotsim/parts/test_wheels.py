"""Rolling and sliding: symmetry, grip, friction at rest, and that time may be cut anywhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim import core
from robotsim.parts import wheels as module
from robotsim.parts.wheels import MASS, TRACK, TURNING_INERTIA, Push, Wheels, grip_limit

ROTOR = 0.238
"""About the tug's: inertia of the armature, seen at the rim, in kg."""
SHARES = st.floats(-1.0, 1.0)


def push(force: float, *, slope: float = 3.0, hold: float = 0.2, drag: float = 0.15) -> Push:
    """A motor's push at a rim at rest, with friction in its gears."""
    return Push(force, slope, force, hold, drag, 0.0)


def drawn(limit: float) -> st.SearchStrategy[Push]:
    return st.builds(
        lambda share, slope, hold: push(limit * share, slope=slope, hold=hold, drag=0.7 * hold),
        SHARES, st.floats(0.0, 6.0), st.floats(0.0, 0.4),
    )  # fmt: skip


gentle, violent = drawn(1.0), drawn(6.0)


def moving(left: float = 0.0, right: float = 0.0) -> Wheels:
    tug = Wheels(0.0, 0.0, 0.0, ROTOR)
    tug.left, tug.right = left, right
    tug.speed, tug.turn_rate = 0.5 * (left + right), (right - left) / TRACK
    return tug


def state(tug: Wheels) -> tuple[float, ...]:
    return tug.x, tug.y, tug.heading, tug.left, tug.right, tug.speed, tug.turn_rate


def energy(tug: Wheels) -> float:
    return 0.5 * (
        MASS * tug.speed**2
        + TURNING_INERTIA * tug.turn_rate**2
        + ROTOR * (tug.left**2 + tug.right**2)
    )


@given(violent, violent, st.floats(0.0, 0.3))
@settings(deadline=None)
def test_a_mirrored_push_gives_a_mirrored_path(one: Push, other: Push, time: float) -> None:
    tug, twin = moving(), moving()
    tug.advance(time, one, other)
    twin.advance(time, other, one)
    assert (twin.x, twin.y, twin.heading) == pytest.approx((tug.x, -tug.y, -tug.heading), abs=1e-9)
    assert (twin.left, twin.right) == pytest.approx((tug.right, tug.left), abs=1e-9)


@given(violent, st.floats(0.0, 0.5))
@settings(deadline=None)
def test_equal_pushes_go_straight(one: Push, time: float) -> None:
    tug = moving()
    tug.advance(time, one, one)
    assert (tug.y, tug.heading, tug.turn_rate) == (0.0, 0.0, 0.0)
    assert tug.x * one.force >= 0.0


@pytest.mark.skipif(core.state is core.Core.COMPILED, reason="looks into a method from outside")
@given(gentle, gentle, st.floats(1e-4, 0.02), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
@settings(deadline=None)
def test_speeds_do_not_depend_on_how_time_is_cut(
    one: Push, other: Push, time: float, left: float, right: float
) -> None:
    whole, halves = moving(left, right), moving(left, right)
    slid: list[float] = []
    for tug in (whole, halves):
        slide = tug.slide
        tug.slide = lambda step, *pushes, slide=slide: (slid.append(step), slide(step, *pushes))
    whole.advance(time, one, other)
    halves.advance(0.5 * time, one, other)
    halves.advance(0.5 * time, one, other)
    if not slid:  # short steps that slide are held to a step's fineness below
        # A wheel that the hull's change holds at rest is looked at once a step; a slow one may come
        # to rest at once.
        close = 1e-9 if min(abs(left), abs(right)) > 1e-3 else 1e-3
        assert state(halves)[3:] == pytest.approx(state(whole)[3:], abs=close)
        # The path is an arc per step: exact while the speeds are steady, else as fine as the step.
        assert state(halves)[:3] == pytest.approx(state(whole)[:3], abs=5e-5)


@given(violent, violent, st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
@settings(max_examples=60, deadline=None)
def test_halving_the_step_of_sliding_agrees(
    one: Push, other: Push, left: float, right: float
) -> None:
    ends = []
    for step in (module.SLIDE_STEP, 0.5 * module.SLIDE_STEP):
        tug = moving(left, right)
        tug.sliding = True
        for _ in range(round(0.04 / step)):
            tug.slide(step, one, other)
            tug.move(step)
        ends.append(state(tug))
    # A wheel that meets the floor's speed does so up to one step earlier or later.
    assert ends[1][:3] == pytest.approx(ends[0][:3], rel=0.03, abs=2e-3)
    assert ends[1][3:6] == pytest.approx(ends[0][3:6], rel=0.03, abs=0.03)


@given(violent, violent, st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
@settings(deadline=None)
def test_what_is_pushed_by_nothing_loses_energy_and_comes_to_rest(
    one: Push, other: Push, left: float, right: float
) -> None:
    tug = moving(left, right)
    idle = [push(0.0, slope=p.slope, hold=p.hold, drag=p.drag) for p in (one, other)]
    before = energy(tug)
    for _ in range(50):
        tug.advance(0.02, *idle)
        assert energy(tug) <= before * (1 + 1e-9) + 1e-15
        before = energy(tug)
    if min(one.drag, other.drag) > 0.05:
        tug.advance(5.0, *idle)
        assert (tug.left, tug.right) == (0.0, 0.0)
        assert energy(tug) < 1e-9


@given(SHARES, SHARES, st.floats(0.002, 0.05))
@settings(deadline=None)
def test_what_the_pushes_put_in_is_what_hull_and_armatures_have(
    one: float, other: float, time: float
) -> None:
    """Rolling without friction: force times way, on both sides, is the kinetic energy."""
    forces = [0.4 * grip_limit() * share for share in (one, other)]
    tug = moving(0.2, 0.15)
    before, put_in = energy(tug), 0.0
    for _ in range(10):
        rims = (tug.left, tug.right)
        tug.advance(time / 10, *(push(f, slope=0.0, hold=0.0, drag=0.0) for f in forces))
        ways = ((a + b) / 2 * time / 10 for a, b in zip(rims, (tug.left, tug.right), strict=True))
        put_in += sum(f * way for f, way in zip(forces, ways, strict=True))
    if not tug.sliding:
        assert energy(tug) - before == pytest.approx(put_in, rel=1e-6, abs=1e-9)


@given(st.floats(0.05, 0.5), st.floats(0.05, 1.0))
def test_a_wheel_at_rest_starts_only_above_its_starting_friction(hold: float, share: float) -> None:
    for force, moves in ((0.99 * hold, False), (-0.99 * hold, False), (1.01 * hold, True)):
        tug = moving()
        tug.advance(0.1, push(force, hold=hold, drag=share * hold), push(0.0, hold=hold))
        assert (tug.left != 0.0) is moves
        assert tug.right == 0.0


@given(st.floats(0.05, 0.4), st.floats(0.01, 0.5))
def test_friction_stops_a_wheel_and_never_turns_it_back(drag: float, speed: float) -> None:
    tug = moving(speed, speed)
    low = speed
    for _ in range(200):
        tug.advance(0.01, push(0.0, drag=drag, hold=drag), push(0.0, drag=drag, hold=drag))
        assert 0.0 <= tug.left <= low + 1e-12
        low = tug.left
    assert tug.left == tug.right == 0.0


@given(violent, violent, st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(1e-4, 0.1))
@settings(deadline=None)
def test_a_wheel_that_grips_moves_as_the_floor_beneath_it(
    one: Push, other: Push, left: float, right: float, time: float
) -> None:
    tug = moving(left, right)
    tug.advance(time, one, other)
    if not tug.sliding:
        assert tug.left == pytest.approx(tug.speed - 0.5 * TRACK * tug.turn_rate, abs=1e-6)
        assert tug.right == pytest.approx(tug.speed + 0.5 * TRACK * tug.turn_rate, abs=1e-6)


@given(st.floats(-0.4, 0.4))
def test_no_time_is_lost_over_a_wheel_that_two_forces_hold(right: float) -> None:
    """A wheel about to start, and the hull's change against it: the other one must go on."""
    tug = moving(0.0, right)
    weak = push(0.01, slope=0.0, hold=0.0, drag=0.0)
    brake = push(0.0, slope=4.75, hold=0.0, drag=0.0)
    tug.advance(0.05, weak, brake)
    if abs(right) > 0.01 and not tug.sliding:
        assert abs(tug.right) < 0.8 * abs(right)


@given(violent, violent, st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
@settings(deadline=None)
def test_every_step_ends_and_gives_numbers(
    one: Push, other: Push, left: float, right: float
) -> None:
    tug = moving(left, right)
    for time in (0.0, 1e-9, 0.02, 0.3):
        tug.advance(time, one, other)
    assert all(map(math.isfinite, state(tug)))
    assert abs(tug.speed) < 10.0


def test_too_violent_a_push_makes_the_wheels_spin_and_a_gentle_one_does_not() -> None:
    limit = grip_limit()
    for factor, slides in ((0.5, False), (3.0, True)):
        # Force at the rim, of which the hull's half takes the share that passes the floor.
        force = factor * limit * (0.5 * MASS + ROTOR) / (0.5 * MASS)
        tug = moving()
        tug.advance(0.05, push(force, slope=0.0), push(force, slope=0.0))
        assert tug.sliding is slides
        assert (tug.left > tug.speed + 0.02) is slides


def test_sliding_ends_when_the_wheels_have_the_floors_speed_again() -> None:
    tug = moving(0.4, 0.4)
    tug.left = tug.right = 0.0
    tug.sliding = True
    tug.advance(
        0.5, push(0.0, hold=0.0, drag=0.0, slope=0.0), push(0.0, hold=0.0, drag=0.0, slope=0.0)
    )
    assert not tug.sliding
    # No force from outside: what hull and armatures had between them is shared out.
    assert tug.speed == pytest.approx(0.4 * MASS / (MASS + 2 * ROTOR), abs=1e-6)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_gears_that_hold_a_wheel_hold_it_on_a_sliding_floor_too(way: float) -> None:
    """The floor drags at it with less than its friction: it does not creep, whatever the step."""
    tug = moving(0.3, 0.3)
    tug.left, tug.sliding = 0.0, True
    held = push(way * 0.9, hold=2.0, drag=1.5)
    for _ in range(40):
        tug.slide(0.5e-3, held, push(0.0, hold=2.0, drag=1.5))
        assert tug.left == 0.0 and tug.left_way == 0.0
    assert tug.speed < 0.29


def test_a_wheel_that_comes_to_rest_may_be_asked_for_the_time_that_is_left() -> None:
    one, other = push(-1.0, hold=2.0, drag=1.5), push(1.7, hold=2.0, drag=1.5)
    tug, whole = moving(0.05, 0.3), moving(0.05, 0.3)
    left = tug.advance(0.05, one, other, until_rest=True)
    assert 0.0 < left < 0.05 and tug.left == 0.0
    assert tug.advance(left, one, other) == whole.advance(0.05, one, other) == 0.0
    assert state(tug) == pytest.approx(state(whole), abs=1e-9)
