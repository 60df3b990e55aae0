"""Tasks of the lesson `arm`: pulses, sweep and hold, the float into the dock."""

from .criteria import TASKS

__all__ = ["TASKS"]
