"""Tasks of the lesson `line`: calibrate, on/off steering, follow, stop at the bar."""

from .criteria import TASKS

__all__ = ["TASKS"]
