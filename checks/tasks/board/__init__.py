"""Task of the lesson `board`: a program that fits every tug."""

from __future__ import annotations

from ...task import Run, Task
from .fit import CRITERIA, BoardFacts
from .fit_mistakes import MISTAKES
from .fleet import OPEN, SECONDS

__all__ = ["TASKS"]

FIT = Task(
    id="board.fit",
    title="Fit for every board",
    program="main.py",
    runs=(Run(SECONDS, start=OPEN),),
    criteria=CRITERIA,
    mistakes=MISTAKES,
    facts=BoardFacts,
)
"""Fifteen points."""
TASKS: tuple[Task, ...] = (FIT,)
