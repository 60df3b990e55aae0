"""Two hulls on one table: what they keep, what they lose, and that they never overlap."""

from __future__ import annotations

import math

import pymunk
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from robotsim.table import Table, make_table
from robotsim.table.bodies import Bodies, Hull

RADIUS, MASS = 0.058, 0.34
INERTIA = 0.5 * MASS * RADIUS**2
GRIP = 0.8 * 0.68 * MASS * 9.80665
OPEN = Table("open", walls=False)
ROUNDS_J = 1e-7
"""Contacts at one moment are solved in turns that end when little changes; so much is a hull's
0.8 mm/s."""


def bodies(table: Table, grip: float = 0.0) -> Bodies:
    return Bodies(table, RADIUS, MASS, INERTIA, grip=grip)


def energy(*hulls: Hull) -> float:
    return sum(
        0.5 * MASS * (h.vx**2 + h.vy**2) + 0.5 * INERTIA * h.turn_rate**2 for h in hulls
    )  # fmt: skip


def overlap(one: Hull, other: Hull) -> float:
    return 2 * RADIUS - math.dist((one.x, one.y), (other.x, other.y))


def test_head_on_the_struck_one_gets_the_textbooks_share() -> None:
    # v (1 + e) / 2 and v (1 - e) / 2 for equal masses (textbook); e = 0.1
    one, other = Hull(0.0, 0.0, vx=0.4), Hull(0.2, 0.0, 1.0)
    world = bodies(OPEN)
    touches = [touch for _ in range(400) for touch in world.step(0.001, one, other)]
    assert (one.vx, other.vx) == pytest.approx((0.18, 0.22)) and abs(other.vy) < 1e-12
    assert [(t.what, t.hull) for t in touches] == [("tug", 0), ("tug", 1)]
    assert touches[0].impulse == touches[1].impulse == pytest.approx(MASS * 0.22)
    assert touches[0].bearing == pytest.approx(0.0)
    assert touches[1].bearing == pytest.approx(math.pi - 1.0)


@pytest.mark.parametrize("aside", [0.02, -0.05, 0.08])
def test_off_centre_it_goes_as_in_another_solver(aside: float) -> None:
    # pymunk 7 (Chipmunk), both discs with restitution and friction as ours
    one, other = Hull(0.0, 0.0, vx=0.4), Hull(0.3, aside)
    world, space = bodies(OPEN), pymunk.Space()
    twins = []
    for hull in (one, other):
        twin = pymunk.Body(MASS, INERTIA)
        twin.position, twin.velocity = (hull.x, hull.y), (hull.vx, hull.vy)
        shape = pymunk.Circle(twin, RADIUS)
        shape.elasticity, shape.friction = math.sqrt(0.1), math.sqrt(0.2)
        space.add(twin, shape)
        twins.append(twin)
    for _ in range(900):
        world.step(0.001, one, other)
        for _ in range(10):
            space.step(0.0001)
    for hull, twin in zip((one, other), twins, strict=True):
        ours = hull.vx, hull.vy, RADIUS * hull.turn_rate
        theirs = *twin.velocity, RADIUS * twin.angular_velocity
        assert ours == pytest.approx(theirs, abs=0.003)
        assert one.vx + other.vx == pytest.approx(0.4)


@settings(max_examples=60, deadline=None)
@given(*[st.floats(-0.5, 0.5)] * 4, st.floats(-math.pi, math.pi), st.floats(0.0, 0.2))
@example(0.0, 0.09375, 0.0625, 0.5, -1.75, 0.0)
@example(0.0, -0.1875, -0.5, 0.0, -1.5, 0.0)  # 1.9e-8 J more
def test_pressed_into_a_corner_they_never_overlap_nor_gain_energy(
    a: float, b: float, c: float, d: float, way: float, along: float
) -> None:
    one, other = Hull(0.12, 0.12, way, vx=a, vy=b), Hull(0.24 + along, 0.1, -way, vx=c, vy=d)
    world = bodies(make_table("basin"), GRIP)
    for _ in range(300):
        before = energy(one, other)
        world.step(0.001, one, other)
        assert energy(one, other) <= before + ROUNDS_J
        assert overlap(one, other) < 2e-4
        assert min(one.x, one.y, other.x, other.y) > RADIUS - 2e-4


def test_two_are_busy_only_near_each_other() -> None:
    world = bodies(make_table("basin"), GRIP)
    assert not world.busy(Hull(0.3, 0.4, vx=0.5), Hull(0.8, 0.4, vx=-0.5))
    assert world.busy(Hull(0.3, 0.4, vx=0.5), Hull(0.425, 0.4, vx=-0.5))
    assert world.busy(Hull(0.3, 0.4), Hull(0.059, 0.4))
