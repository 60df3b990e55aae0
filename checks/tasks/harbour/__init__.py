"""Tasks of the lesson `harbour`: ready, a leg, the whole run."""

from .criteria import TASKS

__all__ = ["TASKS"]
