"""Tasks of the lesson `lamps`."""

from __future__ import annotations

from ...task import Task
from .fade import FADE
from .side import SIDE
from .signal import SIGNAL

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (SIDE, FADE, SIGNAL)
