"""Tasks of the lesson `lamps`."""

from __future__ import annotations

from ..task import Task
from .lamps_fade import FADE
from .lamps_side import SIDE
from .lamps_signal import SIGNAL

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (SIDE, FADE, SIGNAL)
