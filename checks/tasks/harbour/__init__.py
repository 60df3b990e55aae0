"""Tasks of the lesson `harbour`: ready, a leg, the whole run."""

from ...task import Task
from .leg import LEG
from .ready import READY
from .run import RUN
from .voyage import Voyages

__all__ = ["TASKS", "Voyages"]

TASKS: tuple[Task, ...] = (READY, LEG, RUN)
