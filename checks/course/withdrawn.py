"""Withdrawn: a submission that proved to be none, taken out of the gradebook and put aside."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from .classroom import MARKED, OWN
from .open_course import OpenCourse

__all__ = ["forget"]

_ASIDE = "withdrawn"


def forget(course: Path, learner: str, lesson: str) -> dict[str, float]:
    """Take a submission out of a course; what was made of it is kept under `.quayside`.

    Returns:
        The points that were given by hand, by the names of their cells.
    """
    from nbgrader.api import MissingEntry

    opened, given = OpenCourse(course), {}
    with opened.gradebook() as book:
        try:
            entry = book.find_submission(lesson, learner)
        except MissingEntry:
            pass
        else:
            grades = [grade for note in entry.notebooks for grade in note.grades]
            given = {grade.name: float(grade.manual_score) for grade in grades
                     if grade.manual_score is not None}  # fmt: skip
            book.remove_submission(lesson, learner)
    aside = course / OWN / _ASIDE / f"{datetime.now(UTC):%Y-%m-%d-%H-%M-%S-%f}" / learner / lesson
    note = course / OWN / MARKED / learner / f"{lesson}.json"
    for path in (course / "autograded" / learner / lesson, course / "feedback" / learner / lesson,
                 note):  # fmt: skip
        if path.exists():
            target = aside / path.relative_to(course).parts[0].strip(".")
            target.parent.mkdir(parents=True, exist_ok=True)
            path.rename(target)
    return given
