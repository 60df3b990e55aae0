"""Tasks of the lesson `line`: calibrate, on and off, the wavy line, stop at the bar."""

from __future__ import annotations

from ...task import Task
from .calibrate import CALIBRATE
from .follow import FOLLOW
from .onoff import ONOFF
from .stop import STOP

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (CALIBRATE, ONOFF, FOLLOW, STOP)
