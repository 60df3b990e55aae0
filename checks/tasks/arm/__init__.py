"""Tasks of the lesson `arm`: three angles, a sweep, and a knock."""

from __future__ import annotations

from ...task import Task
from .knock import KNOCK
from .pulses import PULSES
from .sweep import SWEEP

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (PULSES, SWEEP, KNOCK)
