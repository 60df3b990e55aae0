"""What a person marks stands first in the form grader, its rubric above it; nothing is left out."""

from __future__ import annotations

import pytest

from checks.course.lessons import Lesson, find_lessons
from checks.course.source import read_source
from checks.marking.desk_order import desk_order
from checks.tasks import TASKS


@pytest.fixture(params=find_lessons(), ids=lambda lesson: lesson.id)
def lesson(request: pytest.FixtureRequest) -> Lesson:
    found: Lesson = request.param
    return found


def test_each_answer_comes_first_with_its_rubric_above_it(lesson: Lesson) -> None:
    cells = read_source(lesson, TASKS).notebook.cells
    ordered = desk_order(cells)
    answers = [c for c in cells if c.cell_type == "markdown"
               and c.metadata.get("nbgrader", {}).get("grade")]  # fmt: skip
    for k, answer in enumerate(answers):
        rubric, shown = ordered[2 * k : 2 * k + 2]
        assert shown is answer
        name = answer.metadata.nbgrader.grade_id
        assert rubric.metadata.nbgrader.grade_id == f"{name}-question"
        question, _, scheme = rubric.source.partition("\n---\n\n**How it is marked**\n")
        assert len(question) > 80 and len(scheme) > 80 and "MARK SCHEME" not in rubric.source
    checks = [k for k, c in enumerate(ordered) if c.cell_type == "code"
              and c.metadata.get("nbgrader", {}).get("grade")]  # fmt: skip
    plain = [k for k, c in enumerate(ordered) if c.cell_type == "code" and not c.metadata.get(
        "nbgrader")]  # fmt: skip
    assert not checks or 2 * len(answers) < checks[0] <= checks[-1] < plain[0]


def test_no_cell_is_left_out_or_changed_but_for_the_marks_of_the_rubric(lesson: Lesson) -> None:
    cells = read_source(lesson, TASKS).notebook.cells
    before = {cell.id: cell.source for cell in cells}
    after = {cell.id: cell.source for cell in desk_order(cells)}
    assert {*before} <= {*after} and len(after) - len(before) in (1, 2)
    assert {cell.id: cell.source for cell in cells} == before
    changed = [name for name in before if after[name] != before[name]]
    assert all(name.endswith("-question") for name in changed)
