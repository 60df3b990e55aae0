"""Where a tug that drives by time ends, looked at as odometry is tested.

Borenstein and Feng, "Measurement and correction of systematic odometry errors in mobile robots",
IEEE Transactions on Robotics and Automation 12 (6), 1996 (UMBmark): drive a square several times
in both directions. How far the middle of the ends lies from the start is the robot's own,
systematic error, and falls into one of the turns and one of the straights; how far the ends lie
about their middle is not, and cannot be tuned away. The method and its two equations from memory,
as read in transcriptions; their signs by arithmetic below. No figure of theirs is used: their
robots weigh a hundred times as much and count the turns of their wheels.

    ends of a square of side L with turns that are a too large and sides that bend by b, to first
    order:  to port x = 2 L (a + b);  to starboard x = 2 L (a - b)
"""

from __future__ import annotations

import math
import statistics
from typing import NamedTuple

import pytest

from robotsim.units import SECOND
from robotsim.wiring import Signal
from tests.robotsim.tugs import HIGH, Order, live, slow

SERIAL = 7
SIDE_S, TURN_S, REST_S = 2.7, 0.53, 0.2
RUNS = 12
SOURCE = "Borenstein and Feng 1996, from memory"


class Square(NamedTuple):
    """How one square ended, and what its moves came to: m and rad."""

    x: float
    y: float
    side: float
    bend: float
    excess: float


def legs(way: float, trim: float, at: float) -> list[Order]:
    """Drive a side and turn on the spot, to port if `way` is 1 and to starboard if -1."""
    orders = slow(at, 0.45 + trim / 2, 0.45 - trim / 2)
    orders += [(at + SIDE_S, role, HIGH) for _, role, _ in orders]
    at += SIDE_S + REST_S
    back, ahead = ("left", "right") if way > 0 else ("right", "left")
    pulses = Signal(0.55, 1000.0)
    orders += [(at, f"{back}_ahead", pulses), (at, f"{ahead}_back", pulses)]
    orders += [(at + TURN_S, role, HIGH) for _, role, _ in slow(0.0, 0.5, 0.5)]
    return orders


def square(way: float, day: str, trim: float) -> Square:
    """Drive a square in the middle of a wide place."""
    leg_s = SIDE_S + TURN_S + 2 * REST_S
    orders = [order for k in range(4) for order in legs(way, trim, 0.01 + k * leg_s)]
    world = live(orders, serial=SERIAL, day=day, start=(0.4, 0.4 - 0.2 * way, 0.0))
    marks = []
    for k in range(4):
        for moment in (k * leg_s, k * leg_s + SIDE_S + REST_S, (k + 1) * leg_s):
            world.advance_to(round((0.01 + moment) * SECOND))
            marks.append((world.wheels.x, world.wheels.y, world.wheels.heading))
    assert not world.happened, "it must not meet a wall"
    begun, turned, ended = marks[0::3], marks[1::3], marks[2::3]
    return Square(
        marks[-1][0] - marks[0][0], marks[-1][1] - marks[0][1],
        statistics.fmean(math.dist(a[:2], b[:2]) for a, b in zip(begun, turned, strict=True)),
        statistics.fmean(b[2] - a[2] for a, b in zip(begun, turned, strict=True)),
        statistics.fmean(way * (b[2] - a[2]) - math.pi / 2
                         for a, b in zip(turned, ended, strict=True)),
    )  # fmt: skip


@pytest.fixture(scope="module")
def ends() -> dict[tuple[float, str], Square]:
    """Squares both ways: on the ideal day, and on some others."""
    days = ["", *(f"seed {number}" for number in range(RUNS))]
    return {(way, day): square(way, day, -0.04) for way in (1.0, -1.0) for day in days}


def test_the_two_published_sums_tell_the_turns_error_from_that_of_the_straights(ends, tell) -> None:
    port, starboard = ends[1.0, ""], ends[-1.0, ""]
    side = 0.5 * (port.side + starboard.side)
    turns = math.degrees((port.x + starboard.x) / (4.0 * side))
    straights = math.degrees((port.x - starboard.x) / (4.0 * side))
    excess = math.degrees(0.5 * (port.excess + starboard.excess))
    bend = math.degrees(0.5 * (port.bend + starboard.bend))
    tell("error of a quarter turn, deg", round(turns, 1), round(excess, 1), SOURCE)
    tell("bend of a side, deg", round(straights, 1), round(bend, 1), SOURCE)
    assert turns == pytest.approx(excess, rel=0.2, abs=0.4)
    assert straights == pytest.approx(bend, rel=0.2, abs=0.4)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_days_move_the_ends_about_their_middle_and_not_the_middle(ends, way: float) -> None:
    """What is systematic is the tug's own; what is not is the day's, and as large as intended."""
    ideal = ends[way, ""]
    found = [one for (which, day), one in ends.items() if which == way and day]
    for axis in ("x", "y"):
        values = [getattr(one, axis) for one in found]
        spread = statistics.stdev(values)
        assert 0.006 < spread < 0.045, "m, after 1.6 m and four turns"
        off = statistics.fmean(values) - getattr(ideal, axis)
        assert abs(off) < 3.0 * spread / math.sqrt(RUNS)
