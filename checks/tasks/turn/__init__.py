"""Tasks of the lesson `turn`: wake and identify, degrees a second, a quarter turn."""

from __future__ import annotations

from ...task import Task
from .identify import IDENTIFY
from .quarter_mistakes import QUARTERS
from .rate_mistakes import RATE

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (IDENTIFY, RATE, QUARTERS)
