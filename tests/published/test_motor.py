"""The motor against the published worked example and general-purpose libraries.

*Source*: University of Michigan, Control Tutorials for MATLAB and Simulink, "DC Motor Speed:
System Modeling" and "System Analysis" (R = read): P(s) = K/((Js+b)(Ls+R)+K^2) with J .01, b .1,
K .01, R 1, L .5, 1 V: about 0.1 rad/s, settling within 2 % in 2.07 s, poles -2 and -10.
scipy (used) gives the digits that the page rounds: 0.0999001; -2.00250, -9.99750; 2.0652 s.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal
from scipy.integrate import solve_ivp

from robotsim.parts.motor import TUG_MOTOR, Motor
from tests.published.table import Tell

J, B, K, R, L = 0.01, 0.1, 0.01, 1.0, 0.5
MOTOR = Motor(constant=K, resistance=R, inductance=L, inertia=J, damping=B)
PAGE, SCIPY = "Michigan control tutorials, Motor Speed (R)", "scipy (A)"
PLANT = signal.TransferFunction([K], [J * L, J * R + B * L, B * R + K * K])


def test_the_steady_speed_is_the_published_one(tell: Tell) -> None:
    ours = MOTOR.steady_speed(1.0)
    assert tell("steady speed at 1 V, rad/s", 0.1, ours, PAGE) == pytest.approx(0.1, rel=0.01)
    assert ours == pytest.approx(0.0999001, abs=1e-7)  # K V / (b R + K^2)
    assert MOTOR.response(1.0, 20.0)[1] == pytest.approx(0.0999001, abs=1e-7)


@pytest.mark.parametrize(("time", "speed"), [(0.5, 0.0541701), (1.0, 0.0830371), (2.0, 0.0976235)])
def test_the_speed_on_the_way_is_scipys(time: float, speed: float, tell: Tell) -> None:
    ours = MOTOR.response(1.0, time)[1]
    assert tell("speed after 0.5, 1, 2 s, rad/s", speed, ours, SCIPY) == pytest.approx(
        speed, rel=1e-4
    )


def test_the_current_on_the_way_is_scipys(tell: Tell) -> None:
    ours = MOTOR.response(1.0, 0.5)[0]
    assert tell("current after 0.5 s, A", 0.631926, ours, SCIPY) == pytest.approx(
        0.631926, rel=1e-4
    )


def test_the_whole_step_response_is_that_of_the_published_transfer_function() -> None:
    times = np.linspace(0.0, 3.0, 301)
    _, published = signal.step(PLANT, T=times)
    ours = [MOTOR.response(1.0, time)[1] for time in times]
    assert ours == pytest.approx(list(published), abs=1e-9)


def test_it_settles_when_the_page_says(tell: Tell) -> None:
    times = np.linspace(0.0, 4.0, 4001)
    ours = np.array([MOTOR.response(1.0, time)[1] for time in times])
    outside = times[np.abs(ours / MOTOR.steady_speed(1.0) - 1.0) > 0.02]
    settled = tell("settled within 2 %, s", 2.07, float(outside[-1]), PAGE)
    assert settled == pytest.approx(2.07, rel=0.01)
    assert outside[-1] == pytest.approx(2.0652, abs=2e-3)  # scipy


def test_its_poles_are_the_published_ones(tell: Tell) -> None:
    """Read off our own responses: two speeds h apart follow x'' = -(p+q) x' - p q x."""
    h = 0.05
    rest = np.array([MOTOR.steady_speed(1.0) - MOTOR.response(1.0, k * h)[1] for k in range(4)])
    a = np.linalg.solve([[rest[1], rest[0]], [rest[2], rest[1]]], [rest[2], rest[3]])
    poles = sorted(np.log(np.roots([1.0, -a[0], -a[1]])) / h)
    assert tell("poles, 1/s", (-10, -2), poles, PAGE) == pytest.approx([-10.0, -2.0], rel=0.01)
    assert poles == pytest.approx([-9.99750, -2.00250], abs=1e-3)  # scipy
    assert sorted(PLANT.poles) == pytest.approx(poles, abs=1e-3)


@pytest.mark.parametrize("motor", [MOTOR, TUG_MOTOR], ids=["published", "tug"])
@pytest.mark.parametrize("load", [0.0, 2e-4])
def test_steps_of_any_length_agree_with_a_numerical_integration(motor: Motor, load: float) -> None:
    def rates(_: float, state: np.ndarray) -> tuple[float, float]:
        amps, speed = state
        return (
            (2.0 - motor.resistance * amps - motor.constant * speed) / motor.inductance,
            (motor.constant * amps - motor.damping * speed - load) / motor.inertia,
        )

    ends = np.linspace(0.01, 0.5, 9)
    done = solve_ivp(rates, (0.0, 0.5), (0.1, 5.0), t_eval=ends, method="LSODA", rtol=1e-10,
                     atol=1e-10)  # fmt: skip
    for time, amps, speed in zip(ends, *done.y, strict=True):
        assert motor.response(2.0, time, (0.1, 5.0), load) == pytest.approx(
            (amps, speed), rel=1e-6, abs=1e-8
        )
