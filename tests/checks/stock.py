"""nbgrader's own commands, with which a course must work as well as with ours."""

from __future__ import annotations

from pathlib import Path

from checks.course.grader import nbgrader


def generate(course: Path, lesson: str) -> str:
    """Make the release copy of a lesson and note its cells in the gradebook."""
    return nbgrader(course, "generate_assignment", lesson, "--force")


def autograde(course: Path, lesson: str, learners: str = "*") -> str:
    """Mark what was handed in; those already marked and unchanged are passed over."""
    return nbgrader(course, "autograde", lesson, f"--student={learners}")


def feedback(course: Path, lesson: str, learners: str = "*") -> str:
    """Write the pages that go back to the learners."""
    return nbgrader(course, "generate_feedback", lesson, "--force", f"--student={learners}")
