"""Task of the lesson `board`: a program that is fit to be copied to real boards."""

from __future__ import annotations

from ...task import Criterion, Run, Task
from . import judged as judged
from .mistakes import MISTAKES

__all__ = ["TASKS"]

FIT = Task(
    id="board.fit",
    title="Fit for every board",
    program="main.py",
    runs=(Run(seconds=6.0, start=(0.20, 0.40, 0.0)),),
    criteria=(
        Criterion("It drives on every tug", 1.0, judged.drives, essential=True),
        Criterion("The real compiler takes it", 2.0, judged.compiles),
        Criterion("Nothing in it would fail on a board", 2.0, judged.ready),
        Criterion("Motors off first, hands off", 1.0, judged.quiet),
        Criterion("It goes straight by its settings", 2.0, judged.straight),
        Criterion("Its side lamps are right by its settings", 2.0, judged.lights),
        Criterion("It uses the pins of its settings", 2.0, judged.wiring),
        Criterion("It is safe without settings", 2.0, judged.without),
        Criterion("It stops by itself", 1.0, judged.stops),
    ),
    mistakes=MISTAKES,
)

TASKS: tuple[Task, ...] = (FIT,)
