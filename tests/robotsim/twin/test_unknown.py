"""What is made on a twin works on its tug: steered by the gyro, and along the line."""

from __future__ import annotations

import dataclasses
import math
import re
from statistics import mean

import pytest

from robotsim.parts import Quirks
from robotsim.twin.fit import FloorRun, drive
from tests.robotsim.twin.gains import KDS, KPS, first_try, holds, on_twin, program, search
from tests.robotsim.twin.gyro import off_by
from tests.robotsim.twin.unknown import battery, compared, metre, twin_of


def test_a_square_by_the_gyro_ends_as_on_a_twin_whatever_the_day() -> None:
    """Days of the same tug: by time they turn it by 5 degrees and more (tests/checks/test_days)."""
    assert abs(off_by(dataclasses.replace(Quirks.of(7), serial=0), 7, 5)) < 4.0


def test_gains_that_lose_the_line_on_a_twin_do_not_hold() -> None:
    assert holds(on_twin(Quirks.of(0), (0.75, 0.05, 0.0015), 1))
    assert not holds(on_twin(Quirks.of(0), (1.0, 0.002, 0.0), 1))
    assert "KP = 0.002" in program((1.0, 0.002, 0.0))


@pytest.mark.long
@pytest.mark.parametrize("serial", range(1, 51))
def test_an_unknown_tug_does_what_its_twin_does(serial: int) -> None:
    """Within three times what days do to a tug: 10 mm along, 15 across, 5 degrees a square."""
    twin = compared(serial, range(3), twin_of(serial).quirks)
    drawn = compared(serial, range(3), Quirks.of(0))
    assert max(far for far, _ in twin) < 60 and max(abs(off) for _, off in twin) < 18
    assert max(far for far, _ in twin) < max(far for far, _ in drawn)


@pytest.mark.long
def test_as_much_stays_uncertain_of_a_metre_as_the_fit_says() -> None:
    """Over tugs, the twin's end against that of the tug itself on a day on which nothing differs:
    the root of the mean square, and the standard deviation that is told."""
    off, told = [], []
    for serial in range(1, 13):
        twin, itself = twin_of(serial), dataclasses.replace(Quirks.of(serial), serial=0)
        found = re.search(r"known to (\d+) mm along and (\d+) mm across", twin.rests)
        assert found
        told.append([float(found[1]), float(found[2])])
        leg = metre(twin.quirks)
        ours = drive(twin.quirks, FloorRun(*leg, volts=battery(serial, None)))
        theirs = drive(itself, FloorRun(*leg))
        off.append([1000 * (theirs[k] - ours[k]) for k in (0, 1)])
    for k in (0, 1):
        rms = math.sqrt(mean(row[k] ** 2 for row in off))
        assert 0.4 < rms / mean(row[k] for row in told) < 1.8


@pytest.mark.long
def test_line_gains_of_a_twin_work_on_its_tug_at_the_first_try() -> None:
    """Nine in ten, by the kit's own check of `line.follow`."""
    earned = []
    for serial in range(1, 11):
        gains = search(twin_of(serial).quirks)
        assert gains is not None and gains[1] in KPS and gains[2] in KDS
        earned.append(first_try(serial, gains))
    assert sum(points == 1.0 for points in earned) >= 9, earned
