"""Grip: the floor passes no more than the friction circle allows.

*Source*: friction circle sqrt(Fx^2+Fy^2) <= mu Fz (T = transcription); a body that slides to a
stop goes d = v^2/(2 mu g) in t = v/(mu g) (R = read, in the form for rolling and sliding balls).
The tug's own friction (0.8) and the share of its weight on the wheels (0.68) are invented.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim import run_trial
from robotsim.parts.wheels import (
    GRIP,
    MASS,
    TRACK,
    TURNING_INERTIA,
    WHEEL_SHARE,
    Push,
    Wheels,
    grip_limit,
)  # fmt: skip
from robotsim.units import GRAVITY
from tests.published.table import Tell

ROTOR = 0.238

SIDEWAYS = 0.35
"""A driver's worst bends, as a share of what the floor can hold sideways, are below this."""


def moving(left: float, right: float) -> Wheels:
    tug = Wheels(0.0, 0.0, 0.0, ROTOR)
    tug.left, tug.right = left, right
    tug.speed, tug.turn_rate = 0.5 * (left + right), (right - left) / TRACK
    return tug


def test_two_wheels_pass_what_their_load_allows(tell: Tell) -> None:
    due, ours = GRIP * WHEEL_SHARE * MASS * 9.80665, 2 * grip_limit()
    assert tell("most force along, N", due, ours, "mu Fz (T)") == pytest.approx(due)


def test_what_a_bend_takes_sideways_is_missing_along(tell: Tell) -> None:
    # T: sqrt(Fx^2 + Fy^2) <= mu Fz.  Both wheels spin, so each passes all that is left along.
    tug, step = moving(0.2, 0.75), 1e-4
    speed, held = tug.speed, 0.5 * MASS * tug.speed * tug.turn_rate
    hard = Push(30.0, 0.0, 30.0, 0.1, 0.08, 0.0)
    tug.sliding = True
    tug.slide(step, hard, hard)
    along = 0.5 * MASS * (tug.speed - speed) / step
    source = "friction circle (T)"
    both = tell("a spinning wheel in a bend, N", grip_limit(), math.hypot(along, held), source)
    assert held > 0.4 * grip_limit() and both == pytest.approx(grip_limit())


pushes = st.builds(
    lambda force, slope: Push(force, slope, force, 0.1, 0.08, 0.0),
    st.floats(-8.0, 8.0), st.floats(0.0, 6.0),
)  # fmt: skip


@given(pushes, pushes, st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
@settings(max_examples=40, deadline=None)
def test_no_wheel_ever_passes_more_than_the_friction_circle(
    one: Push, other: Push, left: float, right: float
) -> None:
    """The forces are worked out from the motion alone: F = m a, M = I alpha."""
    tug, step = moving(left, right), 1e-3
    for _ in range(40):
        speed, turn = tug.speed, tug.turn_rate
        tug.advance(step, one, other)
        along = MASS * (tug.speed - speed) / step
        about = TURNING_INERTIA * (tug.turn_rate - turn) / step / (0.5 * TRACK)
        aside = [0.5 * MASS * v * w for v, w in ((speed, turn), (tug.speed, tug.turn_rate))]
        held = min(map(abs, aside)) if aside[0] * aside[1] > 0 else 0.0
        for force in (0.5 * (along + about), 0.5 * (along - about)):
            if held <= grip_limit():
                assert math.hypot(force, held) <= grip_limit() * 1.03


@pytest.mark.parametrize("speed", [0.1, 0.35, 0.6])
def test_a_tug_with_blocked_wheels_slides_as_far_as_friction_says(
    speed: float, tell: Tell
) -> None:
    share = GRIP * WHEEL_SHARE * GRAVITY
    tug = moving(speed, speed)
    tug.left = tug.right = 0.0
    tug.sliding = True
    blocked = Push(0.0, 1e9, 0.0, 1e9, 0.0, 0.0)
    time = 0.0
    while tug.speed > 1e-3 and time < 1.0:
        tug.slide(1e-4, blocked, blocked)
        tug.move(1e-4)
        time += 1e-4
    due = speed**2 / (2 * share)
    what = "way to a stop from 0.1, 0.35, 0.6 m/s with blocked wheels, m"
    assert tell(what, due, tug.x, "v^2/(2 mu g) (R)") == pytest.approx(due, rel=0.02)
    assert time == pytest.approx(speed / share, rel=0.02)


def test_a_tug_started_too_hard_gains_speed_as_fast_as_the_floor_allows_and_no_faster() -> None:
    tug = moving(0.0, 0.0)
    hard = Push(9.0, 0.0, 9.0, 0.1, 0.08, 0.0)
    tug.advance(0.05, hard, hard)
    assert tug.sliding and tug.left > 2 * tug.speed
    assert tug.speed == pytest.approx(GRIP * WHEEL_SHARE * GRAVITY * 0.05, rel=0.02)


def test_orders_too_violent_for_the_floor_make_the_real_tug_slide() -> None:
    """From pins to path: full ahead, then full astern, at 20 ms notice."""
    text = (
        "import time\nfrom machine import Pin\n"
        "pins = [Pin(n, Pin.OUT) for n in (25, 27, 26, 14)]\n"
        "while True:\n"
        "    for way in (0, 1):\n"
        "        for k, pin in enumerate(pins):\n            pin((k < 2) != bool(way))\n"
        "        time.sleep_ms(400)\n"
    )
    told = run_trial(text, seconds=3.0, start=(0.6, 0.4, 0.0))
    assert told.problem is None
    t, x = told.tracks["t"], told.tracks["x"]
    share = GRIP * WHEEL_SHARE * GRAVITY
    for k in range(1, len(t) - 1):
        felt = (x[k + 1] - 2 * x[k] + x[k - 1]) / (t[k] - t[k - 1]) ** 2
        assert abs(felt) <= share * 1.05 + 0.1
    slip = max(
        abs(v - (x[k + 1] - x[k - 1]) / (t[k + 1] - t[k - 1]))
        for k, v in enumerate(told.tracks["left"])
        if 0 < k < len(t) - 1
    )
    assert slip > 0.05, "the wheels turn faster than the floor goes by"


def test_the_bends_of_a_tug_in_use_are_far_from_sliding() -> None:
    """Full speed on one wheel, none on the other: v w is what the floor must hold sideways."""
    told = run_trial("from machine import Pin\nPin(27, Pin.OUT).on()\n", seconds=3.0)
    vl, vr = told.tracks["left"][-1], told.tracks["right"][-1]
    sideways = 0.5 * (vl + vr) * (vr - vl) / TRACK
    assert sideways < SIDEWAYS * GRIP * WHEEL_SHARE * GRAVITY
