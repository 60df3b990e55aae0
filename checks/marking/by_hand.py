"""By hand: what a person has marked, and what is left to one.

Points that a person has given belong to the program or answer that was looked at.  Where another
one has come they stand back and are written down: they neither count for it nor wait beside it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from nbgrader.api import MissingEntry

from ..course.open_course import OpenCourse
from .decided import Appeal, now, write_down
from .submitted import Submission

__all__ = [
    "given_by_hand", "keep_looked_at", "leave_to_person", "looked_at", "open_entry",
    "without_notebook",
]  # fmt: skip

_ANOTHER = "another program or answer came than the one to which points were given by hand"


def given_by_hand(opened: OpenCourse, one: Submission, cell: str) -> bool:
    """Tell whether a person has given the points of a check that could not be run."""
    with opened.gradebook() as book:
        grade = book.find_grade(cell, one.lesson, one.lesson, one.learner)
        return grade.manual_score is not None


def _answers(opened: OpenCourse, one: Submission) -> dict[str, str]:
    """Give what was marked of each graded cell the last time: its text, or its program's."""
    place = opened.course / "autograded" / one.learner / one.lesson / f"{one.lesson}.ipynb"
    if not place.is_file():
        return {}
    cells = json.loads(place.read_text(encoding="utf-8"))["cells"]
    texts = {
        cell["metadata"]["nbgrader"]["grade_id"]: "".join(cell["source"])
        for cell in cells if "grade_id" in cell["metadata"].get("nbgrader", {})
    }  # fmt: skip
    return {name: texts.get(f"{name}-program", text) for name, text in texts.items()}


def open_entry(book: Any, learner: str, lesson: str) -> None:
    """Make an entry for what could not be marked, or never came: all of it waits for a person."""
    for note in book.update_or_create_submission(lesson, learner).notebooks:
        for grade in note.grades:
            grade.needs_manual_grade = True
    book.db.commit()


def without_notebook(opened: OpenCourse) -> dict[tuple[str, str], bool]:
    """Give to what a person has given points though no notebook is marked; whether to all of it."""
    found = {}
    with opened.gradebook() as book:
        for lesson in [assignment.name for assignment in book.assignments]:
            for one in book.assignment_submissions(lesson):
                learner = one.student.id
                if (opened.course / "autograded" / learner / lesson / f"{lesson}.ipynb").is_file():
                    continue
                grades = [grade for note in one.notebooks for grade in note.grades]
                given = [g for g in grades if g.manual_score is not None
                         and not g.needs_manual_grade]  # fmt: skip
                if given:
                    found[learner, lesson] = len(given) == len(grades)
    return found


def looked_at(opened: OpenCourse, one: Submission) -> dict[str, str | None]:
    """Give what a person has marked already: cells to their texts, None where there was none."""
    texts = _answers(opened, one)
    with opened.gradebook() as book:
        try:
            grades = book.find_submission_notebook(one.lesson, one.lesson, one.learner).grades
        except MissingEntry:
            return {}
        done = [g.name for g in grades if g.manual_score is not None and not g.needs_manual_grade]
    return {name: texts.get(name) for name in done if name in texts or not texts}


def keep_looked_at(
    opened: OpenCourse, one: Submission, before: Mapping[str, str | None]
) -> list[Appeal]:
    """Let a person's points stand where the text is still the one that was marked.

    Returns:
        Those that stand back, since another text has come.
    """
    if not before:
        return []
    texts, gone = _answers(opened, one), []
    with opened.gradebook() as book:
        for name, text in before.items():
            grade = book.find_grade(name, one.lesson, one.lesson, one.learner)
            same = text is not None and texts.get(name) == text
            grade.needs_manual_grade = not same and grade.auto_score is None
            if not same:
                given, grade.manual_score = float(grade.manual_score), None
                gone.append(Appeal(now(), one.learner, one.lesson, name, given,
                                   grade.auto_score, "mark", _ANOTHER))  # fmt: skip
        book.db.commit()
    write_down(opened.course, gone)
    return gone


def leave_to_person(opened: OpenCourse, one: Submission, cells: Iterable[str]) -> None:
    """Note that a person has to mark the checks that could not be run."""
    with opened.gradebook() as book:
        for name in cells:
            grade = book.find_grade(name, one.lesson, one.lesson, one.learner)
            grade.needs_manual_grade = grade.manual_score is None
        book.db.commit()
