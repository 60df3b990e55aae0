"""Tasks of the lesson `radio`: lamps, helm, report, a lost link."""

from .criteria import TASKS

__all__ = ["TASKS"]
