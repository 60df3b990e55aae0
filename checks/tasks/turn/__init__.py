"""Tasks of the lesson `turn`: wake and identify, degrees a second, a quarter turn."""

from .criteria import TASKS

__all__ = ["TASKS"]
