"""Tasks of the lesson `lamps`: running lights, an even dawn, a signal that keeps time."""

from __future__ import annotations

from ...task import Run, Task
from . import fade, side, signal
from .fade_mistakes import MISTAKES as FADE_MISTAKES
from .side_mistakes import MISTAKES as SIDE_MISTAKES
from .signal_mistakes import MISTAKES as SIGNAL_MISTAKES

__all__ = ["TASKS"]

SIDE = Task(
    id="lamps.side",
    title="Running lights",
    program="side.py",
    runs=(Run(side.SECONDS),),
    facts=side.RunningLights,
    criteria=side.CRITERIA,
    mistakes=SIDE_MISTAKES,
)
FADE = Task(
    id="lamps.fade",
    title="An even dawn",
    program="fade.py",
    runs=(Run(fade.SECONDS),),
    facts=fade.Dawn,
    criteria=fade.CRITERIA,
    mistakes=FADE_MISTAKES,
)
SIGNAL = Task(
    id="lamps.signal",
    title="A signal that keeps time",
    program="signal.py",
    runs=(Run(signal.SECONDS),),
    facts=signal.Signal,
    criteria=signal.CRITERIA,
    mistakes=SIGNAL_MISTAKES,
)
TASKS: tuple[Task, ...] = (SIDE, FADE, SIGNAL)
