"""Quayside's checks: a recording in, points and reasons out."""

from __future__ import annotations

import sys

from .judge import check
from .scorecard import Scorecard
from .task import (
    Clues,
    Criterion,
    Evidence,
    Facts,
    Finding,
    Mistake,
    Run,
    Task,
    criterion,
    mistake,
    share,
)
from .tasks import TASKS

__all__ = [
    "TASKS",
    "Clues",
    "Criterion",
    "Evidence",
    "Facts",
    "Finding",
    "Mistake",
    "Run",
    "Scorecard",
    "Task",
    "check",
    "criterion",
    "mistake",
    "share",
]

# Commands and workers go without it, as a learner's server does: jupyter/lighter says why.
sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
