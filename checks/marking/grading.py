"""Grading: nbgrader's form grader for one course, in JupyterLab on this machine alone."""

from __future__ import annotations

import sys
from pathlib import Path

from nbgrader.exchange import ExchangeError
from nbgrader.exchange.default import ExchangeList
from nbgrader.utils import check_directory

from robotsim import KitError

from ..course.config import check_course, check_place
from ..course.grader import environment
from ..serving import serve, taken
from ..shown import say

__all__ = ["QuietList", "grade"]

_SETTINGS = {
    "LabApp.default_url": "/formgrader", "LabApp.extension_manager": "readonly",
    "LabApp.log_level": "ERROR", "ServerApp.log_level": "ERROR", "ServerApp.answer_yes": "True",
    "ExchangeFactory.list": f"{__name__}.QuietList",
}  # fmt: skip
"""What is set where a course is opened; the course's own settings follow."""


class QuietList(ExchangeList):  # type: ignore[misc]
    """Nbgrader's list of its exchange, which says nothing where a school has none.

    The form grader asks for it at every page (nbgrader 0.9.6, NbGraderAPI).
    """

    def ensure_root(self) -> None:
        """See whether there is an exchange."""
        if not check_directory(self.root, write=True, execute=True):
            raise ExchangeError(f"no exchange: {self.root}")


def grade(course: Path, port: int | None = None, *, browser: bool = True) -> int:
    """Open the form grader of a course, and serve it until stopped; give the exit code.

    Args:
        course: The course folder.
        port: The port; None for a free one.
        browser: Whether to open it; else its address is printed.

    Raises:
        KitError: It is no course, or the port is taken.
    """
    check_course(course)
    check_place(course)
    if said := taken(port):
        raise KitError(**said)
    command = [sys.executable, "-m", "jupyterlab", *(f"--{k}={v}" for k, v in _SETTINGS.items())]
    say(f"Opening the form grader of {course} (to stop: Ctrl-C in this window)")
    return serve(command, course, environment(), port, browser)
