"""Tasks of the lesson `lamps`: running lights, an even dawn, a signal that keeps time."""

from .criteria import TASKS

__all__ = ["TASKS"]
