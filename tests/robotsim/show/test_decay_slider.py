"""The current over a few pulses agrees with the circuit and with the bridge of the tug."""

from __future__ import annotations

import math

import pytest

from robotsim import KitError
from robotsim.parts.bridge import ON_RESISTANCE, feed
from robotsim.parts.motor import TUG_MOTOR
from robotsim.show.decay_slider import VOLTS, average, currents, decay_figure
from robotsim.wiring import Signal
from tests.robotsim.show.legible import check_apart, check_within

OHM = TUG_MOTOR.resistance + ON_RESISTANCE


@pytest.mark.parametrize("freq", [200, 1000, 20000])
@pytest.mark.parametrize("duty", [0.1, 0.3, 0.5, 0.9])
@pytest.mark.parametrize("decay", ["slow", "fast"])
def test_the_average_is_the_bridges(decay: str, duty: float, freq: int) -> None:
    one, other = Signal(duty, float(freq)), Signal(0.0, 0.0)
    if decay == "slow":
        one, other = Signal(1.0, 0.0), Signal(1 - duty, float(freq))
    fed = feed(one, other, VOLTS, 0.0, TUG_MOTOR.resistance, TUG_MOTOR.inductance)
    assert average(currents(duty, decay, freq)) == pytest.approx(fed.amps, rel=0.01, abs=0.003)


def test_in_slow_decay_the_average_is_the_duty_and_at_200_hz_fast_decay_dies_in_the_pause() -> None:
    """A linear circuit passes the mean: duty V / R (any text on circuits)."""
    assert average(currents(0.4, "slow", 5000)) == pytest.approx(0.4 * VOLTS / OHM, rel=1e-3)
    assert min(amps for _, amps in currents(0.3, "fast", 200)) == 0.0


def test_while_driven_the_current_rises_with_the_time_constant_l_over_r() -> None:
    told = dict(currents(1.0, "fast", 200))
    assert all(amps == pytest.approx(VOLTS / OHM) for amps in told.values())
    rise = [(t, amps) for t, amps in currents(0.5, "fast", 200) if 0 < t < 0.0024]
    tau = TUG_MOTOR.inductance / OHM
    for t, amps in rise[:20]:
        assert amps == pytest.approx(VOLTS / OHM * (1 - math.exp(-t / tau)), rel=1e-6)


@pytest.mark.parametrize("setting", [(0.0, 1000), (0.3, 200), (0.5, 20000), (1.0, 5000)], ids=str)
def test_texts_neither_overlap_nor_leave_the_picture(setting: tuple[float, int]) -> None:
    drawn = decay_figure(*setting)
    check_within(drawn)
    check_apart(drawn)


def test_what_is_no_duty_or_decay_is_refused() -> None:
    with pytest.raises(KitError, match="from 0 to 1"):
        decay_figure(30)
    with pytest.raises(KitError, match="slow or fast"):
        currents(0.3, "quick", 1000)
