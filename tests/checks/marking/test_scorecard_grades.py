"""What nbgrader's own rules make of a scorecard, whatever a judge has found."""

from __future__ import annotations

import math

import pytest
from IPython.core.formatters import DisplayFormatter
from nbformat.v4 import new_code_cell, new_output
from nbgrader.utils import determine_grade

from checks import Criterion, Finding, Run, Scorecard, Task

POINTS = (2.0, 1.5)


def task(*, essential: bool = False) -> Task:
    nothing = Finding(0.0, "", "")
    criteria = tuple(
        Criterion(f"criterion {k}", points, lambda _: nothing, essential=essential and k == 0)
        for k, points in enumerate(POINTS)
    )
    return Task("pier.hello", "Hello", "hello.py", (Run(1.0),), criteria)


def card(*shares: float, essential: bool = False) -> Scorecard:
    findings = [Finding(share, "measured", "asked") for share in shares]
    return Scorecard.of(task(essential=essential), (), findings, None)


def grade(card: Scorecard) -> float:
    """Show a card as a kernel does and have nbgrader read it."""
    data, metadata = DisplayFormatter().format(card)
    cell = new_code_cell('check("pier.hello")')
    marks = {"grade": True, "solution": False, "locked": True, "points": card.max_points}
    cell.metadata["nbgrader"] = {**marks, "grade_id": "pier-hello", "schema_version": 3}
    cell.outputs = [new_output("execute_result", data, metadata=metadata, execution_count=1)]
    points, most = determine_grade(cell)
    assert most == sum(POINTS) and points is not None
    return float(points)


@pytest.mark.parametrize(
    ("shares", "points"),
    [
        ((0.0, 0.0), 0.0),
        ((1.0, 1.0), 3.5),
        ((0.5, 1.0), 2.5),
        ((0.999999, 1.0), 3.25),
        ((0.1, 0.0), 0.0),
        ((-3.0, 0.0), 0.0),
        ((7.0, 7.0), 3.5),
        ((math.nan, 1.0), 1.5),
        ((math.inf, 0.0), 2.0),
        ((-math.inf, math.nan), 0.0),
    ],
)
def test_nbgrader_gives_exactly_the_points_of_the_card(
    shares: tuple[float, float], points: float
) -> None:
    assert grade(card(*shares)) == points


@pytest.mark.parametrize("share", [0.0, -1.0, math.nan])
def test_without_what_is_essential_nothing_counts(share: float) -> None:
    assert grade(card(share, 1.0, essential=True)) == 0.0


def test_a_program_that_is_not_there_earns_nothing() -> None:
    assert grade(Scorecard.without_program(task())) == 0.0
