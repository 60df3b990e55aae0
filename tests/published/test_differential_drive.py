"""Where two wheels take a tug, against the published exercise and the exact arc.

*Source*: University of Freiburg, Introduction to Mobile Robotics, exercise sheet on the
differential drive (T = transcription, reproduced): R = l/2 (vl+vr)/(vr-vl), w = (vr-vl)/l,
ICC = (x - R sin th, y + R cos th); wheel distance l = 0.5, start (1.5, 2.0, pi/2).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import run_trial
from robotsim.parts.wheels import TRACK, Push, Wheels
from tests.published.table import Tell

START = (1.5, 2.0, math.pi / 2)
EXERCISE = [
    ((0.3, 0.3, 3.0), (1.5, 2.9, 1.570796)),
    ((0.1, -0.1, 1.0), (1.5, 2.9, 1.170796)),
    ((0.2, 0.0, 2.0), (1.63967581, 3.03565519, 0.37079633)),
]
Pose = tuple[float, float, float]


def exact(pose: Pose, vl: float, vr: float, length: float, time: float) -> Pose:
    """Turn the pose about the ICC, as the sheet has it."""
    x, y, th = pose
    if vl == vr:
        return x + vl * time * math.cos(th), y + vl * time * math.sin(th), th
    radius, turn = 0.5 * length * (vl + vr) / (vr - vl), (vr - vl) / length * time
    cx, cy = x - radius * math.sin(th), y + radius * math.cos(th)
    c, s = math.cos(turn), math.sin(turn)
    return cx + c * (x - cx) - s * (y - cy), cy + s * (x - cx) + c * (y - cy), th + turn


def ours(pose: Pose, vl: float, vr: float, length: float, time: float) -> Pose:
    wheels = Wheels(*pose, rotor_mass=0.2)
    wheels.speed, wheels.turn_rate = 0.5 * (vl + vr), (vr - vl) / length
    wheels.move(time)
    return wheels.x, wheels.y, wheels.heading


def test_the_exercise_comes_out_as_published(tell: Tell) -> None:
    pose, sheet = START, "Freiburg exercise sheet (T)"
    for (vl, vr, time), published in EXERCISE:
        pose = ours(pose, vl, vr, 0.5, time)
        what = f"x, y, heading after vl {vl}, vr {vr} for {time:g} s"
        assert tell(what, published, pose, sheet) == pytest.approx(published, abs=1e-6)


def test_a_half_turn_on_one_wheel_ends_where_geometry_says(tell: Tell) -> None:
    # A: about a standing left wheel the middle goes round a circle of half the track.
    ended = ours((0.0, 0.0, 0.0), 0.0, 0.1, TRACK, math.pi * TRACK / 0.1)
    due = (0.0, TRACK, math.pi)
    assert tell("half a turn on one wheel", due, ended, "exact arc (A)") == pytest.approx(
        due, abs=1e-9
    )


speeds = st.floats(-1.0, 1.0)


@given(speeds, speeds, st.floats(0.05, 1.0), st.floats(0.0, 5.0), st.floats(-3, 3))
def test_every_arc_is_the_exact_one(
    vl: float, vr: float, length: float, time: float, heading: float
) -> None:
    if 0.0 < abs(vr - vl) < 1e-5:
        vr = vl  # there the sheet's own formula loses its digits
    pose = (0.3, -0.2, heading)
    assert ours(pose, vl, vr, length, time) == pytest.approx(
        exact(pose, vl, vr, length, time), abs=1e-9
    )


@given(speeds, speeds, st.floats(0.0, 2.0))
def test_steady_wheels_on_our_own_track_follow_the_exact_arc(
    vl: float, vr: float, time: float
) -> None:
    """Through the step that trials take: wheels that nothing drives or slows."""
    if max(abs(vl), abs(vr)) > 0.5 or 0.0 < abs(vr - vl) < 1e-5 or 0.0 in (vl, vr):
        return
    wheels = Wheels(0.0, 0.0, 0.0, rotor_mass=0.2)
    wheels.left, wheels.right = vl, vr
    wheels.speed, wheels.turn_rate = 0.5 * (vl + vr), (vr - vl) / TRACK
    if abs(wheels.speed * wheels.turn_rate) > 4.0:
        return  # so fast a bend would slide
    wheels.advance(time, Push(0, 0, 0, 0, 0, vl), Push(0, 0, 0, 0, 0, vr))
    assert (wheels.x, wheels.y, wheels.heading) == pytest.approx(
        exact((0.0, 0.0, 0.0), vl, vr, TRACK, time), abs=1e-9
    )


@given(st.floats(0.05, 0.5), st.floats(-0.5, 0.5), st.floats(0.01, 2.0), st.floats(0.0, 1.0))
def test_an_arc_may_be_cut_anywhere(vl: float, vr: float, time: float, share: float) -> None:
    middle = ours((0.0, 0.0, 0.0), vl, vr, TRACK, share * time)
    assert ours(middle, vl, vr, TRACK, (1.0 - share) * time) == pytest.approx(
        ours((0.0, 0.0, 0.0), vl, vr, TRACK, time), abs=1e-9
    )


def test_a_tug_that_is_driven_round_keeps_the_published_radius() -> None:
    """From pins to path: with unequal duties the radius is l/2 (vl+vr)/(vr-vl)."""
    text = (
        "from machine import PWM, Pin\n"
        "PWM(Pin(25), freq=1000, duty=300)\nPWM(Pin(27), freq=1000, duty=900)\n"
    )
    told = run_trial(text, seconds=6.0, start=(0.6, 0.2, 0.0))
    assert not list(told.of("touch")), "it must not meet a wall"
    rows = range(300, 600)  # the speeds have settled
    left, right = (told.tracks[name] for name in ("left", "right"))
    vl, vr = (sum(column[k] for k in rows) / len(rows) for column in (left, right))
    radius = 0.5 * TRACK * (vl + vr) / (vr - vl)
    xs, ys = ([told.tracks[name][k] for k in rows] for name in ("x", "y"))
    turned = told.tracks["heading"][599] - told.tracks["heading"][300]
    path = sum(math.hypot(xs[k + 1] - xs[k], ys[k + 1] - ys[k]) for k in range(len(xs) - 1))
    assert path / turned == pytest.approx(radius, rel=2e-3)
    assert turned / 2.99 == pytest.approx((vr - vl) / TRACK, rel=2e-3)
