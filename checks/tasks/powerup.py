"""Tasks of the lesson `powerup`."""

from __future__ import annotations

from ..task import Task
from .powerup_feel import PRESSES
from .powerup_join import NETWORK
from .powerup_start import START

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (START, NETWORK, PRESSES)
