"""Tasks of the lesson `drive`: the start duty, a metre straight, a curve, a square."""

from .criteria import TASKS

__all__ = ["TASKS"]
