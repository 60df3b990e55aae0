"""Tasks of the lesson `drive`: the start duty, a metre straight, a curve, a square."""

from __future__ import annotations

from ...task import Task
from .curve import CURVE
from .square import SQUARE
from .start import START
from .straight import STRAIGHT

__all__ = ["TASKS"]

TASKS: tuple[Task, ...] = (START, STRAIGHT, CURVE, SQUARE)
