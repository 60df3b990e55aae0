"""Quayside's checks: a recording in, points and reasons out."""

from __future__ import annotations

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
