"""Client: has checks run in a clean process, and reads what came of them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from robotsim import KitError

__all__ = ["Request", "Result", "run_checks"]

_ROOT = Path(__file__).resolve().parent.parent.parent
_SECONDS = 300
"""Real time in s for the checks of one notebook; programs that hang are stopped long before."""


class Request(NamedTuple):
    """What to check: a task's id, and the files on the board as JSON, name to text."""

    task: str
    files: str


class Result(NamedTuple):
    """What came of it: the points as a plain number, and the card as HTML."""

    points: str
    card: str


def run_checks(requests: Sequence[Request]) -> list[Result]:
    """Run checks in a process that never sees the notebook, in an empty folder.

    Raises:
        KitError: The process failed, so that nothing can be said about the programs.
    """
    if not requests:
        return []
    with tempfile.TemporaryDirectory() as folder:
        try:
            done = subprocess.run(
                [sys.executable, "-P", "-m", "checks.marking.worker"],
                input="".join(json.dumps(request) + "\n" for request in requests),
                cwd=folder, env={**os.environ, "PYTHONPATH": str(_ROOT)}, capture_output=True,
                encoding="utf-8", errors="replace", timeout=_SECONDS, check=False,
            )  # fmt: skip
        except subprocess.TimeoutExpired as fault:
            raise KitError(f"The checks took more than {_SECONDS} s.") from fault
    rows = done.stdout.splitlines()
    if done.returncode or len(rows) != len(requests):
        raise KitError(
            f"The checks could not be run (exit code {done.returncode}).",
            where=requests[min(len(rows), len(requests) - 1)].task,
            hint=done.stderr.strip()[-2000:] or "run them once more.",
        )
    return [Result(*json.loads(row)) for row in rows]
