"""The worked solution of every task, from its lesson's own text: full marks on every tug.

An ordinary run tries a few tugs, `--long` all of them.
"""

from __future__ import annotations

import pytest

from checks import TASKS, Scorecard, check
from tests.checks.tuning import put, search, tuned, worked
from tests.checks.written_in_lessons import solution

SERIALS = range(201)
SOME = range(3, 201, 66)
"""Tugs of an ordinary run; tests/programs has others."""


def graded(task: str, serial: int) -> Scorecard:
    """Check the worked solution with its constants found for a tug."""
    files, text = solution(task.split(".")[0]), worked(task)
    program = TASKS[task].program
    card = check(task, files={**files, program: tuned(task, text, serial)}, serial=serial)
    if not card.full:  # the kept numbers no longer do: look as a learner would
        found = put(text, search(task, text, serial))
        card = check(task, files={**files, program: found}, serial=serial)
    return card


@pytest.mark.parametrize(
    "serials", [SOME, pytest.param(SERIALS, marks=pytest.mark.long)], ids=["some", "all"]
)
@pytest.mark.parametrize("task", TASKS)
def test_the_worked_solution_passes_on_every_tug(task: str, serials: range) -> None:
    cards = {serial: graded(task, serial) for serial in serials}
    assert all(card.full for card in cards.values()), "\n".join(
        f"tug {serial}: {card}" for serial, card in cards.items() if not card.full
    )


@pytest.mark.parametrize("task", TASKS)
def test_the_lessons_own_numbers_are_right_on_the_learners_own_tug(task: str) -> None:
    card = check(task, files=solution(task.split(".")[0]), serial=7)
    assert card.full, str(card)
