"""The drive from four pins to motion: direction, start, decay, slow pulses, quirks, energy."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from robotsim.parts.drive import Drive
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.side import LOW_HZ
from robotsim.parts.wheels import MASS, TURNING_INERTIA
from robotsim.wiring import FLOATING, Signal

HIGH = Signal(1.0, 0.0)
ROLES = Drive.roles


def fresh(serial: int = 0, **quirks: float) -> Drive:
    return Drive(Quirks(serial, **quirks) if quirks else Quirks.of(serial), random.Random(0))


def run(drive: Drive, inputs: Mapping[str, Signal], seconds: float, step: float = 0.02) -> Drive:
    for role in ROLES:
        drive.drive(role, inputs.get(role, FLOATING))
    around = FakeSurroundings()
    for _ in range(round(seconds / step)):
        drive.advance(step, around)
    return drive


def ahead(signal: Signal, back: Signal = FLOATING) -> dict[str, Signal]:
    return {"left_ahead": signal, "right_ahead": signal, "left_back": back, "right_back": back}


def fast(duty: float, freq: float = 1000.0) -> dict[str, Signal]:
    return ahead(Signal(duty, freq))


def slow(duty: float, freq: float = 1000.0) -> dict[str, Signal]:
    return ahead(HIGH, Signal(1.0 - duty, freq))


def speed(inputs: Mapping[str, Signal], serial: int = 0) -> float:
    return run(fresh(serial), inputs, 3.0).wheels.speed


# -- which way -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("left", "right", "along", "about"),
    [(0, 0, 0, 0), (1, 1, 1, 0), (-1, -1, -1, 0), (1, -1, 0, -1), (-1, 1, 0, 1), (0, 1, 1, 1),
     (1, 0, 1, -1), (0, -1, -1, -1)],
)  # fmt: skip
def test_each_wheel_turns_the_way_its_pins_say(
    left: int, right: int, along: int, about: int
) -> None:
    inputs = {}
    for side, way in (("left", left), ("right", right)):
        if way:
            inputs[f"{side}_{'ahead' if way > 0 else 'back'}"] = HIGH
    wheels = run(fresh(), inputs, 0.5).wheels
    for value, sign in ((wheels.speed, along), (wheels.turn_rate, about)):
        assert (value > 0.02) == (sign > 0) and (value < -0.02) == (sign < 0)
    assert (wheels.left > 0.1) == (left > 0) and (wheels.left < -0.1) == (left < 0)


def test_back_is_as_fast_as_ahead() -> None:
    there, back = (
        run(fresh(), fast(0.6), 2.0),
        run(fresh(), {"left_back": Signal(0.6, 1000), "right_back": Signal(0.6, 1000)}, 2.0),
    )
    assert back.wheels.x == pytest.approx(-there.wheels.x, abs=1e-9)


def test_braking_stops_the_tug_sooner_than_coasting() -> None:
    rolled = {}
    for name, level in (("coast", FLOATING), ("brake", HIGH)):
        drive = run(fresh(), ahead(HIGH), 1.0)
        before = drive.wheels.x
        run(drive, ahead(level, level), 1.0)
        assert drive.wheels.speed == 0.0
        rolled[name] = drive.wheels.x - before
    assert 0.0 < rolled["brake"] < 0.5 * rolled["coast"]


# -- starting and decay ------------------------------------------------------------


@pytest.mark.parametrize("start", [0.15, 0.18, 0.25])
def test_the_start_duty_is_the_quirks_at_steady_current(start: float) -> None:
    """Slow decay at a high frequency is as good as a steady voltage of that share."""
    for factor, moves in ((0.97, False), (1.03, True)):
        drive = fresh(1, left_start=start, right_start=start)
        run(drive, slow(factor * start, 100_000.0), 1.0)
        assert (drive.wheels.speed > 0.0) is moves


@pytest.mark.parametrize("serial", [0, 3, 7, 50, 123])
def test_above_its_start_duty_a_wheel_keeps_turning_and_below_it_may_do_so_too(
    serial: int,
) -> None:
    """Friction of turning gears is less than of gears at rest: a moving tug crawls on."""
    quirks = Quirks.of(serial)
    duty = 0.9 * min(quirks.left_start, quirks.right_start)
    assert run(fresh(serial), slow(duty, 100_000.0), 1.0).wheels.speed == 0.0
    moving = run(fresh(serial), slow(1.0), 0.3)
    assert run(moving, slow(duty, 100_000.0), 3.0).wheels.speed > 0.0


def test_the_effect_of_decay_mode_and_frequency_shows() -> None:
    assert speed(slow(0.5)) < speed(fast(0.5)), "at 1 kHz coasting loses less than braking"
    assert speed(fast(0.5, 20_000.0)) < 0.5 * speed(fast(0.5)), "the current has no time to rise"
    assert speed(slow(0.5, 20_000.0)) == pytest.approx(speed(slow(0.5)), rel=0.05)
    rises = [speed(slow(d)) for d in (0.4, 0.6, 0.8, 1.0)]
    steps = [b - a for a, b in zip(rises, rises[1:], strict=False)]
    assert max(steps) < 1.15 * min(steps), "slow decay: nearly linear in duty"
    rises = [speed(fast(d)) for d in (0.4, 0.6, 0.8, 1.0)]
    steps = [b - a for a, b in zip(rises, rises[1:], strict=False)]
    assert max(steps) > 1.5 * min(steps), "fast decay: far from linear"
    assert speed(fast(1.0)) == pytest.approx(speed(slow(1.0)))


@given(st.floats(0.05, 1.0), st.floats(0.05, 1.0), st.sampled_from([fast, slow]))
@settings(max_examples=30, deadline=None)
def test_more_duty_is_never_slower(one: float, other: float, decay) -> None:
    low, high = sorted((one, other))
    assert speed(decay(low)) <= speed(decay(high)) + 1e-3


# -- slow pulse trains ---------------------------------------------------------------


def test_slow_pulses_are_felt_one_by_one() -> None:
    drive, around = fresh(), FakeSurroundings()
    for role, signal in fast(0.5, 4.0).items():
        drive.drive(role, signal)
    speeds = []
    for _ in range(200):
        drive.advance(0.005, around)
        speeds.append(drive.wheels.speed)
    peaks = [
        k for k in range(1, 199) if speeds[k - 1] < speeds[k] >= speeds[k + 1] and speeds[k] > 0.05
    ]
    assert len(peaks) == 4
    assert min(speeds[50:]) < 0.6 * max(speeds)


@given(st.floats(0.2, LOW_HZ - 1.0), st.floats(0.1, 0.9), st.floats(0.001, 0.02))
@settings(max_examples=30, deadline=None)
def test_slow_pulses_do_not_depend_on_how_time_is_cut(
    freq: float, duty: float, step: float
) -> None:
    coarse = run(fresh(), fast(duty, freq), 50 * step, step)
    fine = run(fresh(), fast(duty, freq), 50 * step, 0.5 * step)
    assert fine.wheels.x == pytest.approx(coarse.wheels.x, abs=2e-3)
    assert fine.wheels.speed == pytest.approx(coarse.wheels.speed, abs=2e-2)


def test_a_pulse_train_just_above_and_just_below_the_border_drives_alike() -> None:
    below, above = (
        run(fresh(), fast(0.6, freq), 4.0, 0.005).wheels.x for freq in (LOW_HZ - 0.01, LOW_HZ)
    )
    assert above == pytest.approx(below, rel=0.02)


# -- quirks, supply, energy ----------------------------------------------------------


@pytest.mark.parametrize("serial", range(1, 12))
def test_a_tug_with_unequal_motors_does_not_run_straight(serial: int) -> None:
    quirks = Quirks.of(serial)
    assert 0.88 <= min(quirks.left_strength, quirks.right_strength) <= 0.96
    assert max(quirks.left_strength, quirks.right_strength) == 1.0
    assert abs(run(fresh(serial), fast(0.7), 2.0).wheels.heading) > 0.03


def test_the_ideal_tug_runs_straight() -> None:
    wheels = run(fresh(0), fast(0.7), 5.0).wheels
    assert (wheels.y, wheels.heading) == (0.0, 0.0) and wheels.x > 1.0


def test_a_weaker_battery_drives_slower() -> None:
    speeds = []
    for volts in (3.2, 4.0, 4.8, 5.6):
        drive, around = fresh(), FakeSurroundings()
        around.supply_volts = volts
        for role, signal in fast(0.8).items():
            drive.drive(role, signal)
        for _ in range(100):
            drive.advance(0.02, around)
        speeds.append(drive.wheels.speed)
    assert speeds == sorted(speeds) and speeds[-1] > 1.5 * speeds[0]


levels = st.sampled_from([FLOATING, HIGH]) | st.builds(
    Signal, st.floats(0.0, 1.0), st.sampled_from([50.0, 1000.0, 20_000.0])
)
orders = st.lists(
    st.tuples(st.fixed_dictionaries({role: levels for role in ROLES}), st.integers(1, 20)),
    min_size=1, max_size=6,
)  # fmt: skip


@given(orders)
@example([(dict.fromkeys(ROLES, FLOATING) | {"right_back": Signal(0.25, 50.0)}, 1)])
@settings(max_examples=60, deadline=None)
def test_the_tug_never_has_more_energy_than_its_battery_has_given(orders) -> None:
    from robotsim.parts.side import ROTOR_MASS as _ROTOR_MASS

    drive, around = fresh(), FakeSurroundings()
    wheels, given = drive.wheels, 0.0
    for inputs, steps in orders:
        for role, signal in inputs.items():
            drive.drive(role, signal)
        for _ in range(steps):
            drive.advance(0.005, around)
            given += around.supply_volts * drive.drawn * 0.005
            kinetic = 0.5 * (
                MASS * wheels.speed**2 + TURNING_INERTIA * wheels.turn_rate**2
                + _ROTOR_MASS * (wheels.left**2 + wheels.right**2)
            )  # fmt: skip
            # A current is followed in straight lines.
            assert kinetic <= 1.02 * given + 1e-3


def test_what_is_drawn_from_the_battery_is_what_the_data_say_at_stall() -> None:
    drive, around = fresh(1, left_start=2.0, right_start=2.0), FakeSurroundings()
    for role, signal in ahead(HIGH).items():
        drive.drive(role, signal)
    drive.advance(0.02, around)
    assert drive.wheels.speed == 0.0
    # 4.8 V over 4.5 ohm of the motor and 0.305 ohm of the bridge, twice.
    assert drive.amps == pytest.approx(2 * 4.8 / 4.805)
