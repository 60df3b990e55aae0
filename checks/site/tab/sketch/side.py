"""Side: a second scale, at the right of axes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from .limits import limited

__all__ = ["Side"]


class Beside(Protocol):
    """Axes that draw ticks at their right."""

    def _beside(self, ticks: Sequence[float], labels: Sequence[str]) -> None: ...


@limited
class Side:
    """A second scale at the right of axes.

    Args:
        axes: The axes.
        back: What gives a value's height on their own scale.
    """

    def __init__(self, axes: Beside, back: Callable[[float], float]) -> None:
        self._axes, self._back = axes, back

    def set_yticks(self, ticks: Sequence[float], labels: Sequence[str]) -> None:
        """Set its ticks, and what is written at them."""
        self._axes._beside([self._back(tick) for tick in ticks], labels)
