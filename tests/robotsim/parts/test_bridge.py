"""The bridge for every pair of signals: signs, limits, and the books of charge and energy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts.bridge import ON_RESISTANCE, feed
from robotsim.wiring import FLOATING, Signal

R, L, V = 4.5, 0.5e-3, 4.8
TOTAL = R + ON_RESISTANCE
frequencies = st.floats(25.0, 40e6)
signals = st.one_of(
    st.just(FLOATING), st.just(Signal(1.0, 0.0)),
    st.builds(Signal, st.floats(0.0, 1.0), frequencies),
)  # fmt: skip
emfs = st.floats(-6.0, 6.0)
supplies = st.floats(0.0, 6.0)


def given_by(ahead, back, volts=V, emf=0.0):
    return feed(ahead, back, volts, emf, R, L)


def told(fed):
    return fed.amps, fed.slope, fed.peak, fed.supply, fed.supply_slope


@given(signals, signals, supplies, emfs)
def test_nothing_that_two_pins_do_gives_nonsense(ahead, back, volts, emf):
    fed = given_by(ahead, back, volts, emf)
    assert all(map(math.isfinite, told(fed)))
    assert fed.slope >= 0.0
    assert abs(fed.amps) <= (2 * volts + abs(emf)) / TOTAL + 1e-9


@given(signals, signals, supplies, emfs)
def test_swapping_the_inputs_turns_everything_round(ahead, back, volts, emf):
    one = given_by(ahead, back, volts, emf)
    other = given_by(back, ahead, volts, -emf)
    assert other.amps == pytest.approx(-one.amps, abs=1e-9)
    assert other.supply == pytest.approx(one.supply, abs=1e-9)
    if ahead.duty != back.duty:
        assert other.slope == pytest.approx(one.slope, abs=1e-6)
        assert other.peak == pytest.approx(-one.peak, abs=1e-9)


@given(signals, signals, supplies, emfs)
def test_the_supply_pays_for_what_the_motor_gets(ahead, back, volts, emf):
    """Energy given = energy turned into motion + heat, and heat is never negative."""
    fed = given_by(ahead, back, volts, emf)
    heat_at_least = TOTAL * fed.amps**2  # of a steady current; ripple only adds
    assert volts * fed.supply >= emf * fed.amps + heat_at_least - 1e-6 * (1.0 + abs(emf))


@given(signals, signals, supplies, st.floats(-4.0, 4.0))
def test_the_slope_is_how_the_current_falls_with_the_speed(ahead, back, volts, emf):
    fed = given_by(ahead, back, volts, emf)
    rise = 1e-4
    later = given_by(ahead, back, volts, emf + rise)
    assert later.amps <= fed.amps + 1e-9
    sign = 1.0 if ahead.duty >= back.duty else -1.0
    beyond = given_by(ahead, back, volts, emf + sign * 2e-3 * max(volts, 0.1))
    # Between the two points the fall bends, but only so far.
    top = 1.0 / TOTAL + 1e-6
    assert fed.slope <= top
    assert abs(beyond.amps - fed.amps) <= top * 2e-3 * max(volts, 0.1) + 1e-9


@given(st.floats(0.001, 0.999), frequencies, emfs)
def test_slow_decay_is_linear_in_duty_and_its_peak_is_above_its_average(duty, freq, emf):
    fed = given_by(Signal(1.0, 0.0), Signal(duty, freq), emf=emf)
    assert fed.amps == pytest.approx(((1.0 - duty) * V - emf) / TOTAL)
    assert fed.peak >= fed.amps - 1e-9
    assert fed.slope == pytest.approx(1.0 / TOTAL)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), frequencies, st.floats(0.0, 4.0))
def test_more_duty_never_gives_less_current_when_the_bridge_coasts_between(one, other, freq, emf):
    low, high = sorted((one, other))
    less = given_by(Signal(low, freq), FLOATING, emf=emf)
    more = given_by(Signal(high, freq), FLOATING, emf=emf)
    assert more.amps >= less.amps - 1e-9


@given(st.floats(0.05, 0.95), frequencies)
def test_from_rest_slow_decay_always_gives_more_than_fast_decay(duty, freq):
    fast = given_by(Signal(duty, freq), FLOATING)
    slow = given_by(Signal(1.0, 0.0), Signal(1.0 - duty, freq))
    assert slow.amps >= fast.amps - 1e-9


@given(st.floats(0.0, 1.0), frequencies)
def test_all_or_nothing_is_steady(duty, freq):
    always, steady = (given_by(Signal(1.0, hz), FLOATING, emf=1.0) for hz in (freq, 0))
    assert told(always) == told(steady)
    assert given_by(Signal(0.0, freq), FLOATING, emf=1.0).amps == 0.0
    braking = given_by(Signal(1.0, 0.0), Signal(1.0, freq), emf=1.0)
    assert (braking.amps, braking.supply) == (pytest.approx(-1.0 / TOTAL), 0.0)
    assert duty >= 0.0


@pytest.mark.parametrize(("ahead", "back"), [(0.95, 0.90), (0.9, 0.95), (0.99, 0.98)])
def test_a_current_that_never_dies_against_the_bridge_closes_its_cycle_too(ahead, back):
    """Both inputs pulsed fast, and the motor turns the other way or faster than it is driven."""
    slow, fast = Signal(ahead, 20_000.0), Signal(back, 20_000.0)
    for emf in (-4.0, -2.0, 2.0, 4.0):
        fed = given_by(slow, fast, emf=emf)
        # So short a coast changes little against braking all that time.
        braked = (((ahead - back) * V) - emf) / TOTAL
        assert fed.amps == pytest.approx(braked, abs=0.25)
