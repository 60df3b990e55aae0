"""Quayside's checks: a recording in, points and reasons out."""

from __future__ import annotations

from .judge import check
from .scorecard import Scorecard
from .task import Criterion, Finding, Mistake, Run, Task, share
from .tasks import TASKS

__all__ = ["TASKS", "Criterion", "Finding", "Mistake", "Run", "Scorecard", "Task", "check", "share"]
