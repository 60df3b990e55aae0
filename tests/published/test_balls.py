"""Balls against published values: size, rebound, sliding into rolling, rolling to rest.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from robotsim.parts.wheels import MASS
from robotsim.table.ball import BALL_MASS, BALL_RADIUS, Ball
from robotsim.table.contact import Row, resolve
from robotsim.units import GRAVITY
from tests.published.table import Tell


def test_the_float_has_the_size_and_mass_of_a_squash_ball(tell: Tell):
    source = "squash ball, World Squash (T)"
    across = tell("float across, +-0.5 mm", 40, 2000 * BALL_RADIUS, source)
    mass = tell("its mass, +-1 g", 24, 1000 * BALL_MASS, source)
    assert across == pytest.approx(40, abs=0.5) and mass == pytest.approx(24, abs=1)


def test_the_floats_inertia_is_that_of_its_mass_in_rubber():
    # Hollow sphere, I = 2/5 m (R^5 - r^5) / (R^3 - r^3) (M, any handbook of mechanics);
    # rubber 1150 kg/m^3 (M).
    hollow = (BALL_RADIUS**3 - BALL_MASS / 1150 * 3 / (4 * math.pi)) ** (1 / 3)
    q = hollow / BALL_RADIUS
    assert Ball(0, 0).inertia == pytest.approx(0.4 * (1 - q**5) / (1 - q**3), abs=0.001)


def test_slide_to_roll_worked_example(tell: Tell):
    # Textbook example of a bowling ball (R): v0 8.10 m/s, mu 0.19, g 9.8 m/s^2
    # -> rolls after 1.243 s and 8.629 m at 5.786 m/s.
    ball = Ball(0, 0, vx=8.10, inertia=0.4, sliding=0.19 * 9.8 / GRAVITY, rolling=0.0)
    time = 0.0
    while ball.vx > ball.rim_x:
        ball.advance(1e-4)
        time += 1e-4
    for what, published, ours, near in (
        ("bowling ball at 8.10 m/s rolls after, s", 1.243, time, 0.0006),
        ("and has gone until then, m", 8.629, ball.x, 0.003),
        ("and rolls at, m/s", 5.786, ball.vx, 0.0005),
    ):
        found = tell(what, published, ours, "worked example in a textbook (R)")
        assert found == pytest.approx(published, abs=near)
    assert ball.vx == ball.rim_x


@pytest.mark.parametrize("v0, mu", [(0.2, 0.5), (0.5, 0.3), (2.0, 0.8)])
def test_a_solid_sphere_rolls_at_five_sevenths_after_two_sevenths_of_v_over_mu_g(
    v0, mu, tell: Tell
):
    # v = 5 v0 / 7, t = 2 v0 / (7 mu g) (R).
    ball = Ball(0, 0, vx=v0, inertia=0.4, sliding=mu, rolling=0.0)
    due = 2 * v0 / (7 * mu * GRAVITY)
    ball.advance(0.999999 * due)
    assert ball.vx > 5 * v0 / 7
    ball.advance(0.000002 * due)
    share = tell("solid sphere rolls at, of v0", 5 / 7, ball.vx / v0, "textbook (R)")
    assert share == pytest.approx(5 / 7, rel=1e-12) and ball.rim_x == ball.vx


@pytest.mark.parametrize("v, mu", [(0.1, 0.01), (0.4, 0.01), (0.3, 0.02)])
def test_a_rolling_ball_stops_after_v_squared_over_2_mu_g(v, mu, tell: Tell):
    # a = mu g, d = v^2 / (2 mu g) (R).
    ball = Ball(0, 0, vx=v, rim_x=v, rolling=mu)
    ball.advance(0.5 * v / (mu * GRAVITY))
    assert ball.vx == pytest.approx(v / 2, rel=1e-12)
    ball.advance(1e6)
    due = v**2 / (2 * mu * GRAVITY)
    what = "rolls to rest, m"
    assert tell(what, due, ball.x, "v^2/(2 mu g) (R)") == pytest.approx(due, rel=1e-12)
    assert ball.still


def test_slide_and_roll_agree_with_scipy_on_a_ball_spinning_across_its_way():
    # Coulomb friction on the slip of the point that touches, integrated by scipy.
    k, mu = 0.516, 0.5

    def rates(_, s):
        slip = s[2:4] - s[4:6]
        push = -mu * GRAVITY * slip / np.hypot(*slip)
        return [*s[2:4], *push, *(-push / k)]

    def rolls(_, s):
        return math.hypot(s[2] - s[4], s[3] - s[5]) - 1e-6

    rolls.terminal = True
    state = [0.0, 0.0, 0.4, 0.1, -0.3, 0.25]
    ran = solve_ivp(rates, (0, 1), state, events=rolls, rtol=1e-10, atol=1e-12)
    ball = Ball(*state, inertia=k, sliding=mu, rolling=0.0)
    ball.advance(float(ran.t[-1]))
    found = (ball.x, ball.y, ball.vx, ball.vy)
    assert found == pytest.approx(ran.y[:4, -1], abs=2e-6)


@pytest.mark.parametrize("rebound_mm", [240, 260])
def test_restitution_is_the_root_of_rebound_over_drop(rebound_mm, tell: Tell):
    # Table tennis, ITTF T3 (T): from 305 mm on steel back to 240 to 260 mm,
    # e = sqrt(h / H) = 0.887 to 0.923 (A): the energy that comes back is h / H.
    bounce = math.sqrt(rebound_mm / 305)
    assert 0.887 <= round(bounce, 3) <= 0.923
    ease = (0.0, 0.0, 0.0, 1 / 0.0027, 1 / 0.0027)
    fall = -math.sqrt(2 * GRAVITY * 0.305)
    after = resolve([Row((0, 0, 0, 0, 1), bounce=bounce)], (0, 0, 0, 0, fall), ease)
    height = 1000 * after[4] ** 2 / (2 * GRAVITY)
    what = "restitution 0.887, 0.923: rebound from 305 mm, mm"
    assert tell(what, rebound_mm, height, "table tennis, ITTF T3 (T)") == pytest.approx(rebound_mm)


@pytest.mark.parametrize("bounce", [0.0, 0.5, 1.0])
def test_a_head_on_impact_shares_momentum_and_restitution_as_textbooks_say(bounce, tell: Tell):
    # (A) from m v conserved and v2' - v1' = e v: v2' = (1 + e) m1 / (m1 + m2) v.
    ease = (1 / MASS, 1 / MASS, 1.0, 1 / BALL_MASS, 1 / BALL_MASS)
    after = resolve([Row((-1, 0, 0, 1, 0), bounce=bounce)], (0.4, 0, 0, 0, 0), ease)
    due = (1 + bounce) * MASS / (MASS + BALL_MASS) * 0.4
    what = "float struck by the hull at 0.4 m/s, restitution 0, 0.5, 1: m/s"
    assert tell(what, due, after[3], "momentum and restitution (A)") == pytest.approx(due)
    assert MASS * after[0] + BALL_MASS * after[3] == pytest.approx(MASS * 0.4)
