"""Scores: what everyone has in nbgrader's gradebook for each graded cell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from .lessons import place_of
from .open_course import OpenCourse

__all__ = ["Score", "earned", "scores"]


class Score(NamedTuple):
    """What one learner has for one graded cell.

    Attributes:
        learner: The learner's id.
        lesson: The lesson.
        cell: The cell's name: the task's id with - in place of the dot.
        points: What was earned; 0 while nobody has marked it by hand.
        most: The most that can be earned.
        by_hand: Whether a person still has to look.
        handed_in: Whether the learner handed the lesson in.
    """

    learner: str
    lesson: str
    cell: str
    points: float
    most: float
    by_hand: bool
    handed_in: bool


def scores(opened: OpenCourse) -> list[Score]:
    """Read every learner's score for every graded cell, in order of learner and lesson."""
    with opened.gradebook() as book:
        return [score for learner in book.students for score in _of_learner(book, learner.id)]


def earned(grade: Any) -> float:
    """Give what counts of a gradebook's entry: of one that waits for a person the check's alone."""
    return float((grade.auto_score or 0.0) if grade.needs_manual_grade else grade.score)


def _of_learner(book: Any, learner: str) -> Iterator[Score]:
    handed = {s.assignment.name for s in book.student_submissions(learner)}
    for assignment in sorted(book.assignments, key=lambda one: place_of(one.name)):
        for notebook in assignment.notebooks:
            cells = {
                cell.name: cell.max_score for cell in (*notebook.grade_cells, *notebook.task_cells)
            }
            grades: dict[str, Any] = {}
            if assignment.name in handed:
                submitted = book.find_submission_notebook(notebook.name, assignment.name, learner)
                grades = {grade.name: grade for grade in submitted.grades}
            # The gradebook keeps all cells that it knows in the order of the notebook.
            for cell in (source.name for source in notebook.source_cells):
                if cell in cells:
                    grade = grades.get(cell)
                    yield Score(
                        learner, assignment.name, cell, earned(grade) if grade else 0.0,
                        cells[cell], bool(grade and grade.needs_manual_grade), grade is not None,
                    )  # fmt: skip
