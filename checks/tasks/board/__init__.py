"""Tasks of the lesson `board`: a program that fits every tug."""

from .criteria import TASKS

__all__ = ["TASKS"]
