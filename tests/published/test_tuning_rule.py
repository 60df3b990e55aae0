"""The tuning rule that the lesson `line` teaches, against the published table and python-control.

Ziegler and Nichols's rule from the ultimate gain Ku and the ultimate period Pu: P 0.5 Ku;
PI 0.45 Ku, Pu/1.2; PID 0.6 Ku, Pu/2, Pu/8 (read in a published table).  Ogata's example
1/(s(s+1)(s+5)): Ku 30, Pu 2.81, Kp 18, Ti 1.405, Td 0.351, overshoot about 62 % (from memory).
10/(2s^3+12s^2+22s+12): Ku 12, Pu 1.89445 (read; the period by arithmetic).
"""

from __future__ import annotations

import math
import re
import warnings
from typing import NamedTuple

import pytest

from checks.course.lessons import LESSONS
from robotsim.show.along import kept
from robotsim.show.gain_slider import steered
from tests.published.table import Tell

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # what that package and those under it warn of is not ours
    import control

PUBLISHED = {
    "P": (0.5, None, None),
    "PI": (0.45, 1 / 1.2, None),
    "PID": (0.6, 1 / 2, 1 / 8),
}
"""Controller to Kp in Ku, Ti and Td in Pu."""


class Gains(NamedTuple):
    """Gains by the rule: Kp in Ku, Ti and Td in Pu; None where there is none."""

    kp: float
    ti: float | None
    td: float | None


def lesson() -> str:
    return (LESSONS / "line.md").read_text(encoding="utf-8")


def taught() -> dict[str, Gains]:
    """Read the rule from the lesson's own table."""
    rows = re.findall(r"^\| (PI?D?) \| ([\d.]+) Ku \| ([^|]*)\| ([^|]*)\|$", lesson(), re.M)
    return {name: Gains(float(kp), _share(ti), _share(td)) for name, kp, ti, td in rows}


def _share(cell: str) -> float | None:
    found = re.fullmatch(r"Pu / ([\d.]+)", cell.strip())
    return 1 / float(found.group(1)) if found else None


def ultimate(plant: control.TransferFunction) -> tuple[float, float]:
    """Give Ku and Pu of a plant: its gain margin, and the period at which the phase is -180."""
    margin, _, where, _ = control.margin(plant)
    return margin, 2 * math.pi / where


OGATA = control.tf([1], [1, 6, 5, 0])
THIRD_ORDER = control.tf([10], [2, 12, 22, 12])


def test_the_table_of_the_lesson_is_the_published_one(tell: Tell) -> None:
    assert set(taught()) == set(PUBLISHED)
    for name, gains in taught().items():
        theirs, ours = (tuple(g for g in row if g is not None) for row in (PUBLISHED[name], gains))
        tell(f"{name}: Kp in Ku, Ti, Td in Pu", theirs, ours, "Ziegler-Nichols (R)")
        assert tuple(gains) == pytest.approx(PUBLISHED[name]), name


@pytest.mark.parametrize(
    ("plant", "ku", "pu"), [(OGATA, 30.0, 2.80993), (THIRD_ORDER, 12.0, 1.89445)]
)
def test_ultimate_gain_and_period_are_those_of_the_handbooks(
    plant: control.TransferFunction, ku: float, pu: float, tell: Tell
) -> None:
    names = (
        ("1/(s(s+1)(s+5))", "Ogata (M), python-control (A)"),
        ("10/(2s^3+12s^2+22s+12)", "handbook (R/A)"),
    )
    name, source = names[plant is THIRD_ORDER]
    ours = tell(f"Ku, Pu of {name}", (ku, pu), ultimate(plant), source)
    assert ours == pytest.approx((ku, pu), rel=1e-4)


def test_the_rule_gives_ogatas_gains_and_the_overshoot_that_the_lesson_warns_of(
    tell: Tell,
) -> None:
    ku, pu = ultimate(OGATA)
    pid = taught()["PID"]
    assert pid.ti is not None and pid.td is not None
    kp, ti, td = pid.kp * ku, pid.ti * pu, pid.td * pu
    gains = tell("Kp, Ti, Td by the lesson's rule", (18, 1.405, 0.351), (kp, ti, td), "Ogata (M)")
    assert gains == pytest.approx((18.0, 1.405, 0.351), abs=0.002)
    controller = control.tf([kp * td, kp, kp / ti], [1, 0])
    answer = control.step_info(control.feedback(controller * OGATA, 1))
    over = tell("overshoot with them, %", 62, float(answer["Overshoot"]), "Ogata (M)")
    assert over == pytest.approx(61.82, abs=0.1)
    told = re.search(r"Ku = (\d+), Pu = ([\d.]+) s\) it overshoots by (\d+) %", lesson())
    assert told is not None
    assert [float(number) for number in told.groups()] == [
        round(ku), round(pu, 2), round(answer["Overshoot"])
    ]  # fmt: skip


def test_without_the_integral_the_answer_is_calmer_as_the_lesson_says() -> None:
    ku, pu = ultimate(OGATA)
    kp, td = 0.6 * ku, pu / 8
    pid = control.tf([kp * td, kp, 2 * kp / pu], [1, 0])
    pd = control.tf([kp * td, kp], [1])
    over = [control.step_info(control.feedback(law * OGATA, 1))["Overshoot"] for law in (pid, pd)]
    assert over[1] < 0.75 * over[0]


def test_the_lessons_example_is_the_rule_worked_out() -> None:
    ku, pu = map(float, re.search(r"KU, PU = ([\d.]+), ([\d.]+)", lesson()).groups())  # type: ignore[union-attr]
    both = taught()["PID"]
    assert both.td is not None
    assert both.kp * ku == pytest.approx(0.06) and both.kp * ku * both.td * pu == pytest.approx(
        0.0018
    )


@pytest.mark.parametrize("serial", [0, 7, 104, 131])
def test_the_tugs_ultimate_gain_and_period_are_those_that_the_lesson_gives(serial: int) -> None:
    # No published value: this holds the lesson to what its own experiment shows.
    calm = kept(steered(0.06, 0.0, 40, "straight", serial)).swing
    wild = kept(steered(0.12, 0.0, 40, "straight", serial)).swing
    assert calm[0] < 8.0 < 14.0 < wild[0]
    assert wild[1] == pytest.approx(0.24, abs=0.02)
    with_both = kept(steered(0.06, 0.0018, 40, "straight", serial)).swing
    assert with_both[0] < 8.0


def test_a_loop_twice_as_fast_bears_more_than_twice_the_gain() -> None:
    assert kept(steered(0.20, 0.0, 20, "straight", 7)).swing[0] < 8.0
    assert kept(steered(0.20, 0.0, 40, "straight", 7)).swing[0] > 14.0
