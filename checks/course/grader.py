"""Grader: calls nbgrader's commands in the environment that they need, and reads its gradebook."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from robotsim import KitError

from .lessons import ROOT, place_of

__all__ = ["Score", "autograde", "earned", "environment", "export", "feedback", "generate"]
__all__ += ["nbgrader", "scores"]


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


def environment() -> dict[str, str]:
    """Give the environment variables in which nbgrader works."""
    here = str(Path(sys.executable).parent)
    search = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")]))
    return {
        **os.environ,
        # It starts alembic by its name, which an environment that is not activated does not offer.
        "PATH": os.pathsep.join([here, os.environ.get("PATH", "")]),
        "PYTHONPATH": search,
        "JUPYTER_PREFER_ENV_PATH": "1",
        # Without it a broken configuration is passed over in silence and stock settings are used.
        "TRAITLETS_APPLICATION_RAISE_CONFIG_FILE_ERROR": "1",
        # The kernel's remark about TCP is nobody's error.
        "PYTHONWARNINGS": "ignore",
    }


def nbgrader(course: Path, *arguments: str) -> str:
    """Run one of nbgrader's commands in a course folder.

    Args:
        course: The course folder.
        arguments: The command and what belongs to it.

    Returns:
        What it said.

    Raises:
        KitError: It failed; the message carries its own words.
    """
    done = subprocess.run(
        [sys.executable, "-m", "nbgrader", *arguments],
        cwd=course, env=environment(), stdin=subprocess.DEVNULL, capture_output=True,
        encoding="utf-8", errors="replace", check=False,
    )  # fmt: skip
    said = done.stdout + done.stderr
    if done.returncode:
        raise KitError(
            f"nbgrader {arguments[0]} failed:\n{_gist(said)}",
            where=str(course),
            hint="mend what its words name, and run it again.",
        )
    return said


def generate(course: Path, lesson: str) -> str:
    """Make the release copy of a lesson and note its cells in the gradebook."""
    return nbgrader(course, "generate_assignment", lesson, "--force")


def autograde(course: Path, lesson: str, learners: str = "*") -> str:
    """Mark what was handed in; those already marked and unchanged are passed over."""
    return nbgrader(course, "autograde", lesson, f"--student={learners}")


def feedback(course: Path, lesson: str, learners: str = "*") -> str:
    """Write the pages that go back to the learners."""
    return nbgrader(course, "generate_feedback", lesson, "--force", f"--student={learners}")


def export(course: Path, file: str = "grades.csv") -> Path:
    """Write all scores into a CSV file in the course folder."""
    nbgrader(course, "export", f"--CsvExportPlugin.to={file}")
    return course / file


def scores(course: Path) -> list[Score]:
    """Read every learner's score for every graded cell, in order of learner and lesson.

    Raises:
        KitError: The course has no gradebook yet.
    """
    if not (course / "gradebook.db").exists():
        raise KitError(
            "The course has no gradebook yet.", where=str(course),
            hint="generate an assignment first.",
        )  # fmt: skip
    with _gradebook(course) as book:
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


@contextmanager
def _gradebook(course: Path) -> Iterator[Any]:
    from nbgrader.api import Gradebook

    book = Gradebook(f"sqlite:///{(course / 'gradebook.db').as_posix()}?timeout=60", course.name)
    try:
        yield book
    finally:
        book.close()


def _gist(said: str) -> str:
    """Give the last lines that carry a complaint, else the last lines."""
    rows = [row for row in said.splitlines() if row.strip()]
    loud = [row for row in rows if re.search(r"ERROR|CRITICAL|Error", row)]
    return "\n".join((loud or rows)[-8:])
