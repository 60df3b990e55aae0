"""Names that the lesson `harbour` takes from here."""

from __future__ import annotations

from ...readings.arm import on_stop
from .knock_criteria import FAR, SLOWEST_S

__all__ = ["FAR", "SLOWEST_S", "on_stop"]
