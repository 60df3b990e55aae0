"""All tasks, one file a lesson; a new lesson's tasks are added to `TASKS`."""

from __future__ import annotations

from ..task import Task
from .arm import TASKS as ARM
from .board import TASKS as BOARD
from .drive import TASKS as DRIVE
from .harbour import TASKS as HARBOUR
from .lamps import TASKS as LAMPS
from .line import TASKS as LINE
from .powerup import TASKS as POWERUP
from .radio import TASKS as RADIO
from .turn import TASKS as TURN

__all__ = ["TASKS"]

TASKS: dict[str, Task] = {
    task.id: task
    for task in (*LAMPS, *DRIVE, *ARM, *LINE, *TURN, *RADIO, *POWERUP, *HARBOUR, *BOARD)
}
"""Every task by its id."""
