"""Grader: calls nbgrader's commands in the environment that they need."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

from robotsim import KitError

from .lessons import ROOT

__all__ = ["environment", "export", "nbgrader"]


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


def export(course: Path) -> Path:
    """Write all scores into a CSV file in the course folder."""
    nbgrader(course, "export", "--CsvExportPlugin.to=grades.csv")
    return course / "grades.csv"


def _gist(said: str) -> str:
    """Give the last lines that carry a complaint, else the last lines."""
    rows = [row for row in said.splitlines() if row.strip()]
    loud = [row for row in rows if re.search(r"ERROR|CRITICAL|Error", row)]
    return "\n".join((loud or rows)[-8:])
