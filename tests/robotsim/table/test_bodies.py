"""Hull, arm, float and walls: they push, bounce and never pass through each other."""

import math
from dataclasses import astuple, replace

import pymunk
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from robotsim.table import Table, make_table, stop_bars
from robotsim.table.bodies import PADDLE, PIVOT_AHEAD, Bodies, Hull
from robotsim.table.table import Dock

RADIUS, MASS = 0.058, 0.34
INERTIA = 0.5 * MASS * RADIUS**2
GRIP = 0.8 * 0.68 * MASS * 9.80665
BALL_MASS = 0.024
SLEW = math.radians(60) / 0.10  # 9 g class servo at 6 V (transcription)


def bodies(table, grip=0.0, *, smooth=False):
    found = Bodies(table, RADIUS, MASS, INERTIA, grip=grip)
    if smooth and found.ball:  # a floor without friction, for the closed forms
        found.ball.sliding = found.ball.rolling = 0.0
    return found


def open_floor(float_at=(0.5, 0.0)):
    return Table("open", walls=False, float_start=float_at)


def run(world, hull, seconds, step=0.001):
    touches = []
    for _ in range(round(seconds / step)):
        touches += world.step(step, hull)
    return touches


def energy(world, hull):
    own = 0.5 * MASS * (hull.vx**2 + hull.vy**2) + 0.5 * INERTIA * hull.turn_rate**2
    return own + (world.ball.energy if world.ball else 0.0)


def rest_on_tyres(hull, step):
    """Braked wheels: what the drive does to a hull that is pushed."""
    slower = GRIP / MASS * step
    turn = GRIP * 0.046 / INERTIA * step
    speed, rate = hull.speed, hull.turn_rate
    hull.drive(
        math.copysign(max(abs(speed) - slower, 0.0), speed),
        math.copysign(max(abs(rate) - turn, 0.0), rate),
    )


# -- impacts against closed forms ---------------------------------------------


def test_hull_strikes_float_head_on():
    # Stern first: at the bow the arm would be in between.
    world, hull = bodies(open_floor(), smooth=True), Hull(0.3, 0.0, math.pi, vx=0.4)
    (touch,) = run(world, hull, 0.4)
    impulse = 1.5 * 0.4 / (1 / MASS + 1 / BALL_MASS)
    assert touch.what == "float" and touch.impulse == pytest.approx(impulse)
    assert abs(touch.bearing) == pytest.approx(math.pi)
    assert hull.vx == pytest.approx(0.4 - impulse / MASS)
    assert world.ball.vx == pytest.approx(impulse / BALL_MASS)
    met = (0.5 - 0.078 - 0.3) / 0.4
    assert world.ball.x == pytest.approx(0.5 + (0.4 - met) * world.ball.vx, abs=1e-6)


def test_hull_strikes_float_off_centre():
    # Smooth discs: all happens along the line of centres (textbook).
    aside = 0.039  # half of 0.078: the line of centres is 30 degrees off
    world, hull = bodies(open_floor((0.5, aside)), smooth=True), Hull(0.3, 0.0, math.pi, vx=0.4)
    run(world, hull, 0.5)
    impulse = 1.5 * 0.4 * math.cos(math.radians(30)) / (1 / MASS + 1 / BALL_MASS)
    push = impulse * math.cos(math.radians(30)), impulse * math.sin(math.radians(30))
    assert (world.ball.vx, world.ball.vy) == pytest.approx(
        (push[0] / BALL_MASS, push[1] / BALL_MASS), rel=1e-5
    )
    assert (hull.vx, hull.vy) == pytest.approx((0.4 - push[0] / MASS, -push[1] / MASS), rel=1e-5)


@pytest.mark.parametrize("rate", [2.0, 5.0, SLEW])
def test_arm_strikes_float_and_turns_the_hull_the_other_way(rate):
    reach = 0.020
    world = bodies(open_floor((PIVOT_AHEAD + reach, 0.024)), smooth=True)
    hull = Hull(0.0, 0.0, arm_angle=math.radians(-20), arm_rate=rate)
    touches = []
    while not touches:
        touches = world.step(0.0002, hull)
    (touch,) = touches
    assert touch.what == "arm"
    # Where the paddle's face then was: the float's middle 22 mm off its middle line.
    out, off = math.hypot(reach, 0.024), 0.022
    along = math.sqrt(out**2 - off**2)
    angle = math.atan2(0.024, reach) - math.asin(off / out)
    lever = PIVOT_AHEAD * math.cos(angle) + along  # about the hull's middle
    impulse = 1.5 * rate * along / (1 / BALL_MASS + 1 / MASS + lever**2 / INERTIA)
    assert touch.impulse == pytest.approx(impulse, rel=1e-4)
    assert hull.turn_rate == pytest.approx(-impulse * lever / INERTIA, rel=1e-4)
    assert math.hypot(world.ball.vx, world.ball.vy) == pytest.approx(impulse / BALL_MASS, rel=1e-4)


def test_a_rolling_float_loses_to_the_wall_what_its_spin_does_not_give_back():
    # It leaves at e v, still spinning forwards; then (1 + k) v = k v0 - e v0.
    world = bodies(Table("pen", float_start=(1.0, 0.4)))
    ball = world.ball
    ball.vx = ball.rim_x = 0.4
    ball.rolling = 0.0
    hull = Hull(0.2, 0.4)
    touch = run(world, hull, 0.46)[0]
    assert touch.what == "float-wall"
    assert touch.impulse == pytest.approx(1.5 * BALL_MASS * 0.4)
    run(world, hull, 0.1)
    k = ball.inertia
    assert ball.vx == ball.rim_x == pytest.approx((k - 0.5) * 0.4 / (1 + k), abs=1e-9)


@pytest.mark.parametrize("angle_deg", [20, 45, 70])
def test_a_puck_of_a_hull_glances_off_a_wall(angle_deg):
    # Normal: -e v.  Along the wall: friction 0.2 (1 + e) times the normal speed, or less.
    way = math.radians(angle_deg)
    hull = Hull(0.3, 0.1, vx=0.5 * math.cos(way), vy=-0.5 * math.sin(way))
    world = bodies(Table("pen"))
    touches = run(world, hull, 0.5)
    normal, along = 0.5 * math.sin(way), 0.5 * math.cos(way)
    assert [t.what for t in touches] == ["wall"]
    assert hull.vy == pytest.approx(0.1 * normal, rel=1e-6)
    rubbed = min(0.2 * 1.1 * normal, along / 3)  # a disc rolls on when a third is gone
    assert hull.vx == pytest.approx(along - rubbed, rel=1e-6)
    assert hull.turn_rate == pytest.approx(-rubbed * MASS * RADIUS / INERTIA, rel=1e-6)


# -- against a reference library ----------------------------------------------


def by_pymunk(hull, ball, arm=None):
    """The same collision by pymunk, in very short steps: velocities afterwards."""
    space = pymunk.Space()
    space.collision_slop = 1e-7
    body = pymunk.Body(MASS, INERTIA)
    body.position, body.angle = (hull.x, hull.y), hull.heading
    body.velocity, body.angular_velocity = (hull.vx, hull.vy), hull.turn_rate
    shapes = [pymunk.Circle(body, RADIUS)]
    if arm is not None:
        tip = (PIVOT_AHEAD + PADDLE * math.cos(arm), PADDLE * math.sin(arm))
        shapes.append(pymunk.Segment(body, (PIVOT_AHEAD, 0), tip, 0.002))
    other = pymunk.Body(BALL_MASS, 1.0)
    other.position, other.velocity = (ball.x, ball.y), (ball.vx, ball.vy)
    shapes.append(pymunk.Circle(other, 0.020))
    for shape in shapes:
        shape.elasticity, shape.friction = math.sqrt(0.5), 0.0
    space.add(body, other, *shapes)
    for _ in range(20000):
        space.step(1e-5)
    return (*body.velocity, body.angular_velocity, *other.velocity)


@pytest.mark.parametrize(
    "aside, arm", [(0.0, None), (0.05, None), (-0.07, None), (0.0, 0.0), (0.02, 0.6), (-0.03, 0.0)]
)
def test_impacts_agree_with_pymunk(aside, arm):
    world = bodies(open_floor((0.13, aside)), smooth=True)
    world.ball.vx = -0.5
    hull = Hull(0.0, 0.0, vx=0.1, arm_angle=arm if arm is not None else math.pi)
    wanted = by_pymunk(hull, replace(world.ball), arm)
    run(world, hull, 0.2)
    found = (hull.vx, hull.vy, hull.turn_rate, world.ball.vx, world.ball.vy)
    assert found == pytest.approx(wanted, abs=2e-3)
    assert abs(found[3] + 0.5) > 0.1  # they did meet


# -- walls, tyres -------------------------------------------------------------


@pytest.mark.parametrize("step", [0.001, 0.0001])
def test_tyres_have_no_part_in_a_blow(step):
    """Else a blow would be harder in a longer step: by 3 to 6 % in one of 1 ms."""
    table = Table("pen", width=10.0, height=10.0, walls=True)
    for grip in (0.0, GRIP):
        world, hull = bodies(table, grip), Hull(RADIUS + 1e-8, 5.0, 2.6, vx=-0.12, vy=0.09)
        (touch,) = world.step(step, hull)
        assert touch.impulse == pytest.approx(1.1 * 0.12 * MASS), "restitution 0.1"


def test_head_on_into_a_wall_the_hull_stops_and_stays_in_touch():
    world, hull = bodies(make_table("basin"), GRIP), Hull(0.2, 0.4, math.pi)
    touches = []
    for _ in range(2000):
        hull.drive(min(hull.speed + GRIP / MASS * 0.001, 0.4), hull.turn_rate)
        touches += world.step(0.001, hull)
    assert hull.x == pytest.approx(RADIUS, abs=1e-5) and abs(hull.speed) < 1e-3
    assert touches[0].what == "wall" and len(touches) <= 3  # told once, not every step
    assert touches[0].impulse == pytest.approx(1.1 * MASS * 0.4, rel=0.02)
    (now,) = world.contacts
    assert now.what == "wall" and now.bearing == pytest.approx(0.0, abs=1e-6)


def driven_into_wall(angle_deg):
    world = bodies(make_table("basin"), GRIP)
    hull = Hull(0.3, 0.08, math.radians(-angle_deg))
    for _ in range(1500):
        hull.drive(min(hull.speed + GRIP / MASS * 0.001, 0.3), 0.0)
        world.step(0.001, hull)
        assert hull.y > RADIUS - 1e-5
    return hull


def test_at_a_shallow_angle_the_hull_slides_along_the_wall_and_at_a_steep_one_it_sticks():
    assert driven_into_wall(15).x > 0.6
    assert driven_into_wall(75).x < 0.36


def test_tyres_stop_a_sideways_slide_by_their_grip_and_an_arc_stays_an_arc():
    world, hull = bodies(Table("open", walls=False), GRIP), Hull(0.0, 0.0, vy=0.3)
    run(world, hull, 0.3)
    assert hull.y == pytest.approx(0.3**2 / (2 * GRIP / MASS), abs=2e-4)
    assert abs(hull.vy) < 1e-9
    hull = Hull(0.0, 0.0, vx=0.3, turn_rate=1.5)  # a circle of 0.2 m
    run(world, hull, 1.0)
    assert (hull.x, hull.y) == pytest.approx(
        (0.2 * math.sin(1.5), 0.2 - 0.2 * math.cos(1.5)), abs=1e-9
    )


def test_a_hull_pins_the_float_on_a_wall_and_neither_gives_way():
    table = Table("pen", float_start=(0.03, 0.4))
    world, hull = bodies(table, GRIP), Hull(0.2, 0.4)
    for _ in range(3000):
        hull.drive(max(hull.speed - GRIP / MASS * 0.001, -0.4), hull.turn_rate)
        world.step(0.001, hull)
    assert world.ball.x == pytest.approx(0.020, abs=1e-4)
    assert hull.x == pytest.approx(0.040 + RADIUS, abs=2e-4)
    assert {touch.what for touch in world.contacts} == {"float", "float-wall"}


def test_an_arm_that_squeezes_the_float_into_a_corner_pushes_the_tug_away():
    table = Table("pen", float_start=(1.1799, 0.0201))
    world, hull = bodies(table, GRIP), Hull(1.14, 0.1, -math.pi / 2, arm_angle=-0.5)
    for _ in range(400):
        hull.arm_rate = SLEW if hull.arm_angle < math.radians(44) else 0.0
        rest_on_tyres(hull, 0.001)
        world.step(0.001, hull)
        assert world.ball.x < 1.1805 and world.ball.y > 0.0195
        assert math.dist((hull.x, hull.y), (world.ball.x, world.ball.y)) > RADIUS + 0.0195
        assert hull.x < 1.1425
    x, y = hull.x, hull.y
    assert math.dist((x, y), (1.14, 0.1)) > 0.002 or abs(hull.heading + math.pi / 2) > 0.02


# -- what must hold whatever happens ------------------------------------------

AT = st.floats(0.0, 1.0)
SPEED = st.floats(-0.6, 0.6)


@st.composite
def scenes(draw):
    """A hull and a float close to each other, to a corner or to a dock; nothing overlaps."""
    table = Table("pen", 0.5, 0.4, dock=Dock(0.25, 0.28, math.pi / 2, 0.12, 0.08))
    way = draw(st.floats(-math.pi, math.pi))
    hull = Hull(
        0.06 + 0.38 * draw(AT), 0.06 + 0.15 * draw(AT), draw(st.floats(-math.pi, math.pi)),
        draw(SPEED), draw(SPEED), draw(st.floats(-8, 8)),
        arm_angle=draw(st.floats(-0.8, 0.8)),
    )  # fmt: skip
    gap = 0.079 + 0.05 * draw(AT)
    place = hull.x + gap * math.cos(way), hull.y + gap * math.sin(way)
    assume(0.021 < place[0] < 0.479 and 0.021 < place[1] < 0.25)
    table = replace(table, float_start=place)
    x, y = PIVOT_AHEAD * math.cos(hull.heading), PIVOT_AHEAD * math.sin(hull.heading)
    for k in range(7):
        part = PADDLE * k / 6
        swung = hull.heading + hull.arm_angle
        tip = hull.x + x + part * math.cos(swung), hull.y + y + part * math.sin(swung)
        assume(math.dist(tip, place) > 0.0235)
    push = (draw(st.floats(-1.5, 1.5)), draw(st.floats(-1.5, 1.5)))
    return table, hull, push


@settings(max_examples=150, deadline=None)
@given(scenes(), st.sampled_from([0.0, GRIP]))
def test_energy_never_grows_while_the_arm_is_held(scene, grip):
    table, hull, push = scene
    world = bodies(table, grip)
    world.ball.vx, world.ball.vy = push
    before = energy(world, hull)
    for _ in range(80):
        world.step(0.001, hull)
        after = energy(world, hull)
        assert after <= before * (1 + 1e-9) + 1e-12
        before = after


@settings(max_examples=150, deadline=None)
@given(scenes(), st.sampled_from([-SLEW, SLEW]), st.floats(0, 0.5), st.floats(-4, 4))
def test_nothing_passes_through_anything_with_the_arm_at_full_slew(scene, slew, speed, turn):
    table, hull, push = scene
    world = bodies(table, GRIP)
    world.ball.vx, world.ball.vy = push
    ball, limit = world.ball, math.radians(60)
    for _ in range(200):
        if abs(hull.arm_angle + 0.001 * slew) > limit:
            slew = -slew
        hull.arm_rate = slew
        more = GRIP / MASS * 0.001
        hull.drive(min(max(speed, hull.speed - more), hull.speed + more),
                   hull.turn_rate + min(max(turn - hull.turn_rate, -0.1), 0.1))  # fmt: skip
        old = paddle_side(hull, ball)
        world.step(0.001, hull)
        assert all(map(math.isfinite, astuple(hull)))
        # 2 mm: a float that is squeezed may be pressed in a little, as rubber is.
        assert math.hypot(ball.x - hull.x, ball.y - hull.y) > RADIUS + 0.018
        assert RADIUS - 0.001 < hull.x < 0.501 - RADIUS
        assert RADIUS - 0.001 < hull.y < 0.401 - RADIUS
        assert 0.018 < ball.x < 0.482 and 0.018 < ball.y < 0.382
        new = paddle_side(hull, ball)
        assert not (old and new and old != new)


def paddle_side(hull, ball):
    """1 or -1: the side of the paddle on which the float is; 0 if not beside it."""
    x = hull.x + PIVOT_AHEAD * math.cos(hull.heading)
    y = hull.y + PIVOT_AHEAD * math.sin(hull.heading)
    c, s = math.cos(hull.heading + hull.arm_angle), math.sin(hull.heading + hull.arm_angle)
    along = (ball.x - x) * c + (ball.y - y) * s
    off = (ball.y - y) * c - (ball.x - x) * s
    if not 0.0 < along < PADDLE:
        return 0
    assert abs(off) > 0.019
    return 1 if off > 0 else -1


@settings(max_examples=60, deadline=None)
@given(scenes())
def test_the_same_again_to_the_last_bit(scene):
    table, hull, push = scene
    ends = []
    for _ in range(2):
        world, tug = bodies(table, GRIP), replace(hull, arm_rate=3.0)
        world.ball.vx, world.ball.vy = push
        touches = run(world, tug, 0.06)
        ends.append((astuple(tug), world.float_pose, touches, world.contacts))
    assert ends[0] == ends[1]


def test_half_the_step_gives_the_same_to_a_tenth_of_a_millimetre():
    ends = []
    for step in (0.001, 0.0005):
        world = bodies(make_table("dock"), GRIP)
        hull = Hull(0.3, 0.3, vx=0.2)
        run(world, hull, 1.5, step)
        ends.append((world.ball.x, world.ball.y, hull.x, hull.y))
    assert ends[0] == pytest.approx(ends[1], abs=1e-4)


@settings(max_examples=300, deadline=None)
@given(scenes(), st.floats(-math.pi, math.pi), st.sampled_from([-SLEW, 0.0, SLEW]))
def test_when_not_busy_nothing_touches_for_10_ms(scene, push_way, slew):
    table, hull, push = scene
    world = bodies(replace(table, width=1.2, height=0.9), GRIP)
    world.ball.vx, world.ball.vy = push
    hull.arm_rate = 0.0
    if world.busy(hull):
        return
    hull.arm_rate = slew  # the servo starts just after the question
    for _ in range(10):
        hull.vx += GRIP / MASS * 0.001 * math.cos(push_way)
        hull.vy += GRIP / MASS * 0.001 * math.sin(push_way)
        assert world.step(0.001, hull) == []


def test_alone_in_the_open_a_tug_is_not_busy_and_beside_things_it_is():
    world = bodies(make_table("dock"), GRIP)
    x, y = make_table("dock").float_start
    assert not world.busy(Hull(0.3, 0.4, vx=0.5))
    assert world.busy(Hull(0.059, 0.4)) and world.busy(Hull(0.063, 0.4, vx=-0.5))
    assert world.busy(Hull(x - 0.079, y))
    assert world.busy(Hull(0.3, 0.4, arm_rate=1.0)) is False
    world.ball.x, world.ball.vx = 1.17, 1.5
    assert world.busy(Hull(0.3, 0.4))
    assert bodies(Table("open", walls=False)).busy(Hull(0.0, 0.0, vx=1.0)) is False


def test_drift_is_the_floats_own_motion_and_parts_all_contacts():
    world = bodies(open_floor())
    world.ball.vx = 0.3
    alone = replace(world.ball)
    world.drift(0.01)
    alone.advance(0.01)
    assert world.ball == alone and world.contacts == ()
    x, y, vx, vy, turns = world.float_pose
    assert (x, y, vx, vy) == (alone.x, 0.0, alone.vx, 0.0)
    assert turns == pytest.approx(alone.rim_x / 0.020)
    assert bodies(Table("open")).float_pose is None


# -- the dock -----------------------------------------------------------------


@pytest.mark.parametrize("heading_deg", [0, 90, -90, 37])
def test_the_float_is_docked_between_gate_and_back_wall(heading_deg):
    way = math.radians(heading_deg)
    gate = Dock(0.6, 0.4, way, 0.2, 0.14)
    world = bodies(Table("pen", dock=gate, float_start=(0.6, 0.4)))
    for inwards, aside, docked in (
        (-0.001, 0.0, False), (0.001, 0.0, True), (0.139, 0.0, True), (0.141, 0.0, False),
        (0.05, 0.099, True), (0.05, 0.101, False), (0.05, -0.101, False),
    ):  # fmt: skip
        world.ball.x = 0.6 + inwards * math.cos(way) - aside * math.sin(way)
        world.ball.y = 0.4 + inwards * math.sin(way) + aside * math.cos(way)
        assert world.docked is docked


def strike(table, pose, first_deg, last_deg, rate):
    world = bodies(table, GRIP)
    hull = Hull(*pose, arm_angle=math.radians(first_deg))
    goal, crossings, was = math.radians(last_deg), 0, False
    for tick in range(4000):
        left = goal - hull.arm_angle
        hull.arm_rate = math.copysign(min(rate, abs(left) / 0.001), left)
        rest_on_tyres(hull, 0.001)
        world.step(0.001, hull)
        crossings += world.docked is not was
        was = world.docked
        if tick > 1000 and world.ball.still and hull.arm_rate == 0.0:
            break
    return world, crossings


@pytest.mark.parametrize("name", ["dock", "harbour"])
@pytest.mark.parametrize("seed", range(0, 21))
def test_one_full_swing_from_where_the_tug_should_stand_docks_the_float(name, seed):
    table = make_table(name, seed)
    pose = table.start if name == "dock" else table.line.at(stop_bars(table)[0] - 0.044)
    side = math.copysign(1, table.dock.heading)
    world, crossings = strike(table, pose, -45 * side, 45 * side, math.radians(60) / 0.12)
    assert world.docked and crossings == 1
    world, _ = strike(table, pose, -45 * side, 45 * side, 1.0)  # a slow push is not enough
    assert not world.docked


def test_a_float_that_rolls_out_again_is_no_longer_docked():
    gate = Dock(0.6, 0.4, 0.0, 0.2, 0.14)
    world = bodies(Table("pen", dock=gate, float_start=(0.62, 0.4)))
    world.ball.vx = world.ball.rim_x = -0.2
    assert world.docked
    run(world, Hull(0.2, 0.2), 0.2)
    assert not world.docked
