"""Tasks of the lesson `powerup`."""

from __future__ import annotations

from ...task import Criterion, Run, Task
from . import join as join
from .feel import PRESSES
from .join_mistakes import MISTAKES
from .start import START

__all__ = ["TASKS"]

NETWORK = Task(
    id="powerup.network",
    title="Choose a network",
    program="join.py",
    runs=(
        Run(seconds=9.0, air=join.ALL_THERE),
        Run(seconds=18.0, air=join.CHANGED),
        Run(seconds=36.0, air=join.NONE_THERE),
    ),
    criteria=(
        Criterion("It joins the first on the list", 2.0,
                  join.joins(0, "pier", 6.0, "pier, though others are stronger"), essential=True),
        Criterion("It goes on where one does not let it in", 2.0,
                  join.joins(1, "boathouse", 14.0, "boathouse: pier has another password now")),
        Criterion("It keeps to the list, from first to last", 2.0, join.in_order),
        Criterion("It takes them from secrets.py", 1.0, join.from_secrets),
        Criterion("It gives each its time", 1.0, join.patient),
        Criterion("Its lamp tells the state", 2.0, join.looks),
        Criterion("It calls for help when none is left", 1.0, join.calls),
        Criterion("Its motors stay off", 1.0, join.motors_off),
    ),
    mistakes=MISTAKES,
)  # fmt: skip

TASKS: tuple[Task, ...] = (START, NETWORK, PRESSES)
