"""Tasks of the lesson `powerup`: a safe start, a list of networks, presses."""

from __future__ import annotations

from ...task import Task
from . import network, presses, start
from .network_mistakes import MISTAKES as NETWORK_MISTAKES
from .presses_mistakes import MISTAKES as PRESSES_MISTAKES
from .start_mistakes import MISTAKES as START_MISTAKES

__all__ = ["TASKS"]

START = Task(
    id="powerup.start",
    title="A safe start",
    program="safe.py",
    runs=start.RUNS,
    facts=start.SafeStart,
    criteria=start.CRITERIA,
    mistakes=START_MISTAKES,
    targets=start.TARGETS,
)
NETWORK = Task(
    id="powerup.network",
    title="Choose a network",
    program="join.py",
    runs=network.RUNS,
    facts=network.Search,
    criteria=network.CRITERIA,
    mistakes=NETWORK_MISTAKES,
)
PRESSES = Task(
    id="powerup.presses",
    title="Count presses",
    program="feel.py",
    runs=presses.RUNS,
    facts=presses.Presses,
    criteria=presses.CRITERIA,
    mistakes=PRESSES_MISTAKES,
)
TASKS: tuple[Task, ...] = (START, NETWORK, PRESSES)
