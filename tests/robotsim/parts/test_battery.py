"""The battery."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.errors import KitError
from robotsim.parts.battery import Battery, charge_at


def test_a_trial_begins_at_the_nominal_voltage():
    assert Battery().emf == pytest.approx(4.8)
    assert Battery().volts(0.0) == pytest.approx(4.8)


def test_it_sags_in_proportion_to_the_load():
    battery = Battery()
    assert battery.volts(0.0) - battery.volts(2.0) == pytest.approx(2.0 * 0.18)


def test_the_board_s_pin_sees_half():
    assert Battery().pin_volts(1.0) == pytest.approx((4.8 - 0.18) / 2)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_less_charge_never_gives_more_voltage(one, other):
    low, high = sorted((one, other))
    assert 3.6 - 1e-9 <= Battery(low).emf <= Battery(high).emf <= 5.6 + 1e-9


@given(st.floats(0.0, 1.0))
def test_the_curve_has_no_jumps(charge):
    near = max(charge - 1e-6, 0.0)
    assert Battery(charge).emf - Battery(near).emf < 1e-4


def test_ampere_hours_are_counted():
    battery = Battery(1.0)
    battery.draw(1.9, 1800.0)  # half an hour at the current that empties it in one
    assert battery.charge == pytest.approx(0.5)
    battery.draw(-0.19, 3600.0)  # current that flows back
    assert battery.charge == pytest.approx(0.6)


@given(st.floats(-5.0, 50.0), st.floats(0.0, 1e6))
def test_charge_and_voltage_stay_within_bounds(amps, duration):
    battery = Battery()
    battery.draw(amps, duration)
    assert 0.0 <= battery.charge <= 1.0
    assert battery.volts(amps) >= 0.0


@given(st.floats(0.0, 3.0), st.floats(0.0, 1000.0))
def test_two_half_steps_are_one_step(amps, duration):
    whole, halves = Battery(), Battery()
    whole.draw(amps, duration)
    halves.draw(amps, duration / 2)
    halves.draw(amps, duration / 2)
    assert halves.charge == pytest.approx(whole.charge, abs=1e-12)


def test_brown_out_comes_with_a_heavy_load_on_empty_cells_only():
    healthy, spent = Battery(), Battery(0.02)
    for battery in (healthy, spent):
        battery.draw(0.1, 0.01)
        assert not battery.brown_out
        battery.draw(6.0, 0.01)
    assert spent.brown_out and not healthy.brown_out
    spent.draw(0.1, 0.01)
    assert not spent.brown_out, "the voltage comes back with the load gone"


@pytest.mark.parametrize("charge", [-0.1, 1.1, 50, float("nan")])
def test_a_charge_that_is_no_share_is_refused(charge):
    with pytest.raises(KitError, match="from 0 .empty. to 1 .full."):
        Battery(charge)


def test_a_resting_voltage_tells_the_charge() -> None:
    for hundredths in range(101):
        charge = hundredths / 100
        assert charge_at(Battery(charge).emf) == pytest.approx(charge)
    assert charge_at(3.0) == 0.0 and charge_at(6.0) == 1.0
