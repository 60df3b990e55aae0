"""Days: runs differ as those of a real tug do, and only as the day says."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts import IDEAL, Day
from robotsim.parts.battery import START_CHARGE
from robotsim.parts.day import START_SPREAD, Grain
from robotsim.units import SECOND
from robotsim.wiring import FLOATING, PINS, Signal
from tests.robotsim.tugs import HIGH, live, slow

DAYS = [f"seed {number}" for number in range(30)]
METRE_S, QUARTER_S = 5.1, 0.5
places = st.floats(-5.0, 5.0)


def test_a_name_and_a_tug_give_one_day_and_another_name_or_tug_another() -> None:
    once, again = Day.of("seed 1", 7), Day.of("seed 1", 7)
    assert once.strengths == again.strengths and once.drag.at(0.3, 0.7) == again.drag.at(0.3, 0.7)
    for other in (Day.of("seed 2", 7), Day.of("seed 1", 8)):
        assert other.strengths != once.strengths and other.charge != once.charge
        assert other.drag.at(0.3, 0.7) != once.drag.at(0.3, 0.7)


@pytest.mark.parametrize(("name", "serial"), [("", 7), ("seed 3", 0), ("", 0)])
def test_the_tug_as_drawn_and_the_nameless_day_are_ideal(name: str, serial: int) -> None:
    day = Day.of(name, serial)
    assert day == IDEAL == Day("", START_CHARGE)
    assert day.strengths == day.starts == (1.0, 1.0) and day.drag is day.scrub is None


@given(places, places)
def test_grain_is_a_function_of_the_place_without_jumps(x: float, y: float) -> None:
    grain = Grain("here", 1.0)
    here = grain.at(x, y)
    assert abs(here) <= 1.0 and grain.at(x, y) == here
    # From corner to corner, 40 mm, it changes by 2 at most.
    assert abs(grain.at(x + 1e-4, y) - here) <= 1e-4 * 2.0 / 0.04 + 1e-9
    assert abs(grain.at(x, y - 1e-4) - here) <= 1e-4 * 2.0 / 0.04 + 1e-9


def test_grain_is_alike_over_some_millimetres_and_not_over_some_centimetres() -> None:
    pairs: dict[float, list[tuple[float, float]]] = {0.004: [], 0.12: []}
    for number in range(400):
        grain = Grain(f"floor {number}", 1.0)
        for apart, found in pairs.items():
            found.append((grain.at(0.5, 0.5), grain.at(0.5 + apart, 0.5)))
    alike = {apart: statistics.correlation(*zip(*found, strict=True))
             for apart, found in pairs.items()}  # fmt: skip
    assert alike[0.004] > 0.9 and abs(alike[0.12]) < 0.2


# -- what comes out: common practice, no source; the sizes that the kit set itself -----------


def ended(serial: int, day: str, left: float, right: float, seconds: float):
    """Drive by time from the middle of a wide place, brake, and give the wheels."""
    orders = slow(0.01, abs(left), right)
    if left < 0.0:  # turn on the spot
        orders[:2] = [(0.01, "left_ahead", Signal(1.0 + left, 1000.0)), (0.01, "left_back", HIGH)]
    orders += [(0.01 + seconds, role, HIGH) for _, role, _ in slow(0.0, 0.5, 0.5)]
    world = live(orders, serial=serial, day=day, start=(0.1, 0.4, 0.0))
    world.advance_to(round((seconds + 0.5) * SECOND))
    return world.wheels


def straightened(serial: int) -> tuple[float, float]:
    """Find two duties at which a tug goes straight on its ideal day, by halving."""
    low, high = -0.2, 0.2
    for _ in range(12):
        trim = 0.5 * (low + high)
        turned = ended(serial, "", 0.5 + trim / 2, 0.5 - trim / 2, 1.5).heading
        low, high = (trim, high) if turned > 0.0 else (low, trim)
    return 0.5 + trim / 2, 0.5 - trim / 2


@pytest.mark.parametrize("serial", [7, 104])
def test_a_metre_by_time_spreads_by_10_mm_along_and_15_mm_across(serial: int) -> None:
    duties = straightened(serial)
    ends = [ended(serial, day, *duties, METRE_S) for day in DAYS]
    gone = statistics.fmean(end.x - 0.1 for end in ends)
    assert 0.8 < gone < 1.08
    along, across = (statistics.stdev(values) for values in (
        [end.x for end in ends], [end.y for end in ends]))  # fmt: skip
    assert 0.006 < along / gone < 0.014 and 0.010 < across / gone**1.5 < 0.022


@pytest.mark.parametrize("serial", [7, 104])
def test_a_quarter_turn_by_time_spreads_by_2_degrees(serial: int) -> None:
    turns = [math.degrees(ended(serial, day, -0.45, 0.45, QUARTER_S).heading) for day in DAYS]
    assert 75.0 < statistics.fmean(turns) < 120.0
    assert 1.3 < statistics.stdev(turns) * 90.0 / statistics.fmean(turns) < 2.8


def start_duty(serial: int, day: str, role: str) -> float:
    """Find by halving the steady duty at which a wheel starts from rest."""
    low, high = 0.05, 0.5
    for _ in range(9):
        duty = 0.5 * (low + high)
        world = live([(0.0, role, HIGH)], serial=serial, day=day)
        world.output(PINS[role.replace("ahead", "back")], Signal(1.0 - duty, 20_000.0), 0)
        world.advance_to(SECOND // 10)
        moved = max(world.wheels.left_way, world.wheels.right_way)
        low, high = (low, duty) if moved > 1e-5 else (duty, high)
        world.output(PINS[role], FLOATING, SECOND // 10)
    return high


def share(values: Sequence[float]) -> float:
    """Give the standard deviation as a share of the mean."""
    return statistics.stdev(values) / statistics.fmean(values)


def test_the_start_duties_of_one_wheel_spread_by_a_tenth_of_themselves() -> None:
    found = [start_duty(7, day, "left_ahead") for day in DAYS]
    assert 0.07 < share(found) < 0.13
    middle = start_duty(7, "", "left_ahead")
    assert max(abs(duty / middle - 1.0) for duty in found) < START_SPREAD + 0.02


def test_the_float_lies_a_millimetre_or_two_beside_its_place() -> None:
    lain = [live([], table="dock", serial=7, day=day)._bodies.ball for day in DAYS]
    ideal = live([], table="dock", serial=7, day="")._bodies.ball
    off = [math.dist((ball.x, ball.y), (ideal.x, ideal.y)) for ball in lain]
    assert 0.0005 < statistics.fmean(off) < 0.002 and max(off) < 0.0025
