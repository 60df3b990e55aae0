"""Tasks of the lesson `powerup`: a safe start, a list of networks, presses."""

from .criteria import TASKS

__all__ = ["TASKS"]
