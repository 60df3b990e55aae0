"""The motor's equations in closed form, for motors, loads and times of every size."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from robotsim.parts.motor import TUG_MOTOR, Motor

motors = st.builds(
    Motor, constant=st.floats(0.002, 0.1), resistance=st.floats(0.5, 10.0),
    inductance=st.floats(1e-4, 0.5), inertia=st.floats(1e-7, 0.01), damping=st.floats(0.0, 0.1),
)  # fmt: skip
volts = st.floats(-12.0, 12.0)


def simulate(motor, voltage, duration, start, load):
    """The same two equations, step by step, by a library that knows nothing of ours."""

    def rates(_, state):
        amps, speed = state
        return (
            (voltage - motor.resistance * amps - motor.constant * speed) / motor.inductance,
            (motor.constant * amps - motor.damping * speed - load) / motor.inertia,
        )

    done = solve_ivp(rates, (0.0, duration), start, method="LSODA", rtol=1e-9, atol=1e-9)
    return done.y[:, -1]


@given(motors, volts, st.floats(1e-4, 0.05), st.floats(-1, 1), st.floats(-20, 20))
@settings(max_examples=40, deadline=None)
def test_a_step_of_any_length_agrees_with_a_numerical_integration(motor, voltage, time, i, w):
    load = 0.1 * motor.constant
    ours = motor.response(voltage, time, (i, w), load)
    true = simulate(motor, voltage, time, (i, w), load)
    assert ours[0] == pytest.approx(true[0], rel=1e-5, abs=1e-5)
    assert ours[1] == pytest.approx(true[1], rel=1e-5, abs=1e-5)


@given(motors, volts)
def test_the_speed_settles_where_torque_and_friction_meet(motor, voltage):
    settled = motor.steady_speed(voltage)
    amps = (voltage - motor.constant * settled) / motor.resistance
    assert motor.constant * amps == pytest.approx(motor.damping * settled, abs=1e-9)


@given(volts, st.floats(1e-4, 0.5), st.floats(0.0, 1.0))
def test_time_may_be_cut_anywhere(voltage, time, share):
    whole = TUG_MOTOR.response(voltage, time)
    middle = TUG_MOTOR.response(voltage, share * time)
    assert TUG_MOTOR.response(voltage, (1 - share) * time, middle) == pytest.approx(whole, abs=1e-6)


def test_the_tugs_free_speed_is_near_half_a_metre_a_second_at_its_rated_voltage():
    rim = TUG_MOTOR.steady_speed(4.8) / TUG_MOTOR.gear * 0.022
    assert rim == pytest.approx(0.52, abs=0.03)


def test_the_tugs_current_settles_far_faster_than_its_speed():
    """This is why the drive may take the average of a pulse train for its current."""
    electrical = TUG_MOTOR.inductance / TUG_MOTOR.resistance
    mechanical = TUG_MOTOR.inertia * TUG_MOTOR.resistance / TUG_MOTOR.constant**2
    assert electrical < 0.02 * mechanical
