"""Unknown tugs, reached by the cable alone: surveyed as a learner would, then compared.

`python -m tests.robotsim.twin.unknown 51 101` prints the figures of CABLE.md, a line a tug.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from robotsim.cable.powerup import lead
from robotsim.parts import IDEAL, Day, Quirks, seed_day
from robotsim.parts.battery import Battery, charge_at
from robotsim.twin.fit import OPEN, FloorRun, drive, drive_legs, fit, read_runs, straight
from robotsim.twin.survey import USUAL
from robotsim.twin.tug_file import Twin, read_tug
from robotsim.units import MS
from robotsim.world import TugWorld
from tests.robotsim.cable.benches import SimBench, SimPerson

PARTS = ["lamps", "motors", "start", "arm", "eyes", "sensor"]
SHORT = (0.5, 0.5, 1.5)
Leg = tuple[float, float, float]


def of_the_tug(serial: int, seed: int, *legs: Leg) -> list[tuple[float, float, float]]:
    """What the tug itself does, on one of its days."""
    day = Day.of(seed_day(seed), serial)
    return drive_legs(TugWorld(OPEN, Quirks.of(serial), seed, None, day=day), legs)


def battery(serial: int, seed: int | None) -> float:
    """What its board reads of the battery at rest, as the survey's program does it.

    On the ideal day, if no seed is given.
    """
    day = IDEAL if seed is None else Day.of(seed_day(seed), serial)
    world = TugWorld(OPEN, Quirks.of(serial), seed or 0, None, day=day)
    pin, board, total = world.build.pins["battery"], world.converter, 0
    for k in range(1, 201):
        now = 5 * k * MS
        total += board.microvolts(board.count(world.volts(pin, now), 3, pin, now), 3)
    return round(total / 1e8, 3)


def surveyed(serial: int, seed: int, leg: Leg, ruler: random.Random) -> FloorRun:
    """One run by a ruler that is off by 2 mm and a gyro that is off by half a degree."""
    ((ahead, aside, turned),) = of_the_tug(serial, seed, leg)
    return FloorRun(*leg, round(ahead + ruler.gauss(0, 0.002), 3),
                    round(aside + ruler.gauss(0, 0.002), 3),
                    turned + ruler.gauss(0, math.radians(0.5)),
                    volts=battery(serial, seed))  # fmt: skip


def turns(serial: int, seed: int) -> list[FloorRun]:
    """What its survey would print on one day, by a gyro that is off by 0.3 degrees each time.

    `test_the_survey_runs_on_the_board_and_tells_its_turns` holds its program to that.
    """
    hiss, rows, before = random.Random(f"{serial} {seed}"), [], 0.0
    volts = battery(serial, seed)
    for leg, (_, _, heading) in zip(USUAL, of_the_tug(serial, seed, *USUAL), strict=True):
        turned = math.degrees(heading - before) + hiss.gauss(0, 0.3)
        rows.append("run {},{},{},-,-,{:.1f},1,{:.3f}".format(*leg, turned, volts))
        before = heading
    return read_runs("\n".join(rows))


@cache
def floor_runs(serial: int) -> tuple[Twin, tuple[FloorRun, ...]]:
    """The card of its power-up; seven runs by the ruler, and its own survey on five days."""
    ruler, bench = random.Random(serial), SimBench(serial)
    twin = read_tug(lead(bench, SimPerson(bench.world), PARTS).data)
    short = surveyed(serial, 1000, SHORT, ruler)
    left, right = straight(fit(twin, [short]).quirks)
    legs = [(left, right, 5.6)] * 4 + [(left + 0.35, right + 0.35, 2.4)] * 2
    runs = [short, *(surveyed(serial, 1001 + k, leg, ruler) for k, leg in enumerate(legs))]
    for day in range(5):
        runs += turns(serial, 1010 + day)
    return twin, tuple(runs)


@cache
def twin_of(serial: int, read: bool = True) -> Twin:
    """Its twin, by runs beside each of which the battery was read, or not."""
    twin, runs = floor_runs(serial)
    return fit(twin, runs if read else [replace(run, volts=None) for run in runs])


def metre(quirks: Quirks) -> Leg:
    """Efforts and time for a straight metre on a twin."""
    efforts, seconds = straight(quirks), 5.0
    for _ in range(3):
        seconds /= drive(quirks, FloorRun(*efforts, seconds))[0]
    return *efforts, seconds


def square(quirks: Quirks) -> list[Leg]:
    """The legs of a square of 0.3 m that closes on a twin."""
    low, high = 0.1, 0.9
    for _ in range(12):
        seconds = 0.5 * (low + high)
        less = drive(quirks, FloorRun(-0.5, 0.5, seconds))[2] < 0.5 * math.pi
        low, high = (seconds, high) if less else (low, seconds)
    left, right, whole = metre(quirks)
    return [(left, right, 0.3 * whole), (-0.5, 0.5, seconds)] * 4


def compared(
    serial: int, days: Sequence[int], own: Quirks, read: bool = True, off: float = 0.0
) -> list[tuple[float, float]]:
    """Let a twin and its tug drive what was made for the twin, the tug on other days.

    Args:
        serial: The tug.
        days: Seeds of its days.
        own: The twin, or what else is taken for it.
        read: Whether the twin is told what the board reads of its battery on that day.
        off: By how much the board reads too much, in V.

    Returns:
        For each day how far from the twin's the end of the metre was, in mm, and by how many
        degrees the square's heading differed.
    """
    leg, legs, found = metre(own), square(own), []
    for day in days:
        volts = [battery(serial, seed + day) - off if read else None for seed in (2000, 3000)]
        ours = drive(own, FloorRun(*leg, volts=volts[0]))
        charge = None if volts[1] is None else charge_at(volts[1])
        ideal = drive_legs(TugWorld(OPEN, own, 0, None, charge), legs)[-1][2]
        (end,) = of_the_tug(serial, 2000 + day, leg)
        turned = of_the_tug(serial, 3000 + day, *legs)[-1][2]
        found.append((1000 * math.dist(end[:2], ours[:2]), math.degrees(turned - ideal)))
    return found


def kinds(serial: int) -> dict[str, tuple[Quirks, bool, float]]:
    """What may be taken for a tug: what it is like, whether its battery is read, and how far off.

    Of itself all is known exactly, also by how much its board reads too much.
    """
    itself = Quirks.of(serial)
    off = battery(serial, None) - Battery().emf
    return {
        "twin": (twin_of(serial).quirks, True, 0.0), "itself": (itself, True, off),
        "twin, unread": (twin_of(serial, read=False).quirks, False, 0.0),
        "itself, unread": (itself, False, 0.0), "drawn": (Quirks(0), False, 0.0),
    }  # fmt: skip


def main(first: int, last: int) -> None:
    """Print a line a tug: its twin and itself, with the battery read and without; one as drawn."""
    total: dict[str, list[tuple[float, float]]] = {}
    for serial in range(first, last):
        told = []
        for kind, (own, read, off) in kinds(serial).items():
            found = compared(serial, range(3), replace(own, serial=0), read, off)
            total.setdefault(kind, []).extend(found)
            told.append(f"{kind} " + " ".join(f"{far:.0f} mm {off:.1f}" for far, off in found))
        print(serial, "; ".join(told), flush=True)
    for kind, found in total.items():
        ends, offs = sorted(far for far, _ in found), sorted(abs(off) for _, off in found)
        half, nine = len(found) // 2, 9 * len(found) // 10
        print(f"{kind}: within 25 mm {sum(far <= 25 for far in ends)}, within 4 degrees "
              f"{sum(off <= 4 for off in offs)}, of {len(found)}; half within {ends[half]:.0f} mm "
              f"and {offs[half]:.1f} degrees, nine in ten {ends[nine]:.0f} and {offs[nine]:.1f}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
