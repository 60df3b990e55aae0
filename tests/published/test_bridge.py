"""The bridge against its data sheet, and its averages against the circuit itself.

*Source*: DRV8835 data sheet SLVSB18, table 2 (R = read): inputs 0 0 coast (both outputs off), 1 0
forward, 0 1 reverse, 1 1 brake (both low); on-resistance of high and low side together 305 mOhm
typical at 5 V (R).  DRV8833 class (T = transcription): (PWM, 0) forward with fast decay,
(1, PWM) forward with slow decay, where the effective duty is 1 - d.  The averages are held to
scipy's `solve_ivp`, which follows the current through every pulse of the wave.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from robotsim.parts.bridge import ON_RESISTANCE, Feed, feed
from robotsim.parts.motor import TUG_MOTOR
from robotsim.wiring import FLOATING, Signal
from tests.published.table import Tell

R, L, V = TUG_MOTOR.resistance, TUG_MOTOR.inductance, 4.8
TOTAL = R + ON_RESISTANCE
HIGH = Signal(1.0, 0.0)
SHEET = "DRV8835 SLVSB18 (R)"


def given_by(ahead: Signal, back: Signal, emf: float) -> Feed:
    return feed(ahead, back, V, emf, R, L)


def test_the_on_resistance_is_the_data_sheets(tell: Tell) -> None:
    stalled = V / given_by(HIGH, FLOATING, 0.0).amps - R
    assert tell("high and low switch together, ohm", 0.305, stalled, SHEET) == pytest.approx(0.305)


@pytest.mark.parametrize("emf", [0.0, 1.5, -1.5])
@pytest.mark.parametrize(
    ("ahead", "back", "across"),
    [(0, 0, None), (1, 0, V), (0, 1, -V), (1, 1, 0.0)],
    ids=["coast", "forward", "reverse", "brake"],
)
def test_the_truth_table(
    ahead: int, back: int, across: float | None, emf: float, tell: Tell
) -> None:
    fed = given_by(Signal(float(ahead), 0.0), Signal(float(back), 0.0), emf)
    due = "no current" if across is None else f"{across:+g} V"
    found = f"{fed.amps * TOTAL + emf:+.3g} V" if fed.slope else "no current"
    assert tell("inputs 0 0, 1 0, 0 1, 1 1 put across the motor", due, found, SHEET) == due
    if across is None:  # both outputs off: no current
        assert (fed.amps, fed.slope, fed.peak, fed.supply, fed.supply_slope) == (0.0,) * 5
    else:
        assert fed.amps == pytest.approx((across - emf) / TOTAL)
        assert fed.peak == pytest.approx(fed.amps)
        assert fed.slope == pytest.approx(1.0 / TOTAL)


@pytest.mark.parametrize("duty", [0.1, 0.35, 0.8])
@pytest.mark.parametrize("freq", [100.0, 1000.0, 20_000.0])
def test_slow_decay_has_the_effective_duty_one_minus_d(
    duty: float, freq: float, tell: Tell
) -> None:
    fed = given_by(HIGH, Signal(duty, freq), 0.7)
    share = (fed.amps * TOTAL + 0.7) / V
    what = "slow decay at d = 0.1, 0.35, 0.8: share of the voltage"
    tell(what, 1 - duty, share, "DRV8833 class (T)")
    assert fed.amps == pytest.approx(((1.0 - duty) * V - 0.7) / TOTAL)


# -- the circuit, pulse by pulse ---------------------------------------------------


def levels(ahead: Signal, back: Signal, period: float) -> list[tuple[float, int, int]]:
    """Cut one cycle where a level changes: (duration, level ahead, level back)."""
    edges = sorted({0.0, 1.0, ahead.duty, back.duty})
    return [
        ((end - begin) * period, int(begin < ahead.duty), int(begin < back.duty))
        for begin, end in zip(edges, edges[1:], strict=False)
    ]


def through(amps: float, emf: float, time: float, one: int, other: int) -> tuple[float, float]:
    """Follow the current through one phase: (at the end, charge)."""
    if (one, other) == (0, 0):
        if amps == 0.0:
            return 0.0, 0.0  # the diodes block
        volts = -V if amps > 0.0 else V
    else:
        volts = V * (one - other)

    def rates(_: float, state: np.ndarray) -> tuple[float, float]:
        return (volts - TOTAL * state[0] - emf) / L, state[0]

    def dead(_: float, state: np.ndarray) -> float:
        return float(state[0])

    dead.terminal = (one, other) == (0, 0)  # type: ignore[attr-defined]
    done = solve_ivp(rates, (0.0, time), (amps, 0.0), events=dead, rtol=1e-9, atol=1e-12)
    ended = 0.0 if done.status == 1 else float(done.y[0, -1])
    return ended, float(done.y[1, -1])


def simulated(ahead: Signal, back: Signal, emf: float) -> tuple[float, float]:
    """Give (average current, average from the supply) once cycle follows on equal cycle."""
    period = 1.0 / max(ahead.freq_hz, back.freq_hz)
    amps, before = 0.0, 1.0
    while abs(amps - before) > 1e-7:
        before, charge, supply = amps, 0.0, 0.0
        for time, one, other in levels(ahead, back, period):
            amps, passed = through(amps, emf, time, one, other)
            charge += passed
            supply += passed * (one - other) if one or other else -abs(passed)
    return charge / period, supply / period


CASES = [
    (Signal(duty, freq), FLOATING, emf)
    for duty, freq, emf in ((0.25, 1000.0, 0.0), (0.5, 1000.0, 1.8), (0.7, 20_000.0, 0.9),
                            (0.95, 20_000.0, 0.0), (0.3, 50.0, 1.0), (0.4, 5000.0, -1.2))
] + [
    (HIGH, Signal(duty, freq), emf)
    for duty, freq, emf in ((0.75, 1000.0, 0.0), (0.5, 1000.0, 1.8), (0.3, 20_000.0, 0.9),
                            (0.5, 50.0, 1.0), (0.4, 5000.0, -1.2))
] + [
    (Signal(0.6, 1000.0), Signal(0.2, 1000.0), 0.8),
    (Signal(0.2, 1000.0), Signal(0.6, 1000.0), 0.8),
    (Signal(0.95, 20_000.0), Signal(0.9, 20_000.0), 2.0),
]  # fmt: skip


@pytest.mark.parametrize(("ahead", "back", "emf"), CASES)
def test_the_average_current_is_that_of_the_circuit(
    ahead: Signal, back: Signal, emf: float, tell: Tell
) -> None:
    amps, supply = simulated(ahead, back, emf)
    fed = given_by(ahead, back, emf)
    if ahead.duty == 0.5 or back.duty == 0.5:  # the others say the same in the table
        mode = "slow" if ahead == HIGH else "fast"
        freq = max(ahead.freq_hz, back.freq_hz)
        what = f"{mode} decay, duty 0.5, {freq:g} Hz, back-EMF {emf} V: A"
        tell(what, amps, fed.amps, "scipy through every pulse (A)")
    assert fed.amps == pytest.approx(amps, abs=2e-5)
    assert fed.supply == pytest.approx(supply, abs=2e-5)


def test_fast_decay_falls_off_at_a_high_frequency_and_slow_decay_does_not() -> None:
    low, high = (given_by(Signal(0.5, f), FLOATING, 0.0).amps for f in (1000.0, 20_000.0))
    assert high < 0.7 * low
    low, high = (given_by(HIGH, Signal(0.5, f), 0.0).amps for f in (1000.0, 20_000.0))
    assert high == pytest.approx(low)
