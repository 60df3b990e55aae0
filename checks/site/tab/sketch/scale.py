"""Scale: one of the two scales of axes, and their edges."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from .ticks import round_ticks, written

__all__ = ["RC", "Scale", "Spine"]

RC: dict[str, Any] = {}
"""The settings that matplotlib would draw with."""


class Spine(SimpleNamespace):
    """One edge of axes."""

    visible: bool

    def set_visible(self, visible: bool) -> None:
        """Show it or not."""
        self.visible = visible


class Scale:
    """Its limits, and its ticks with their labels.

    Args:
        size: Size of the labels in points.
    """

    def __init__(self, size: float) -> None:
        self.limits: tuple[float, float] | None = None
        self.seen: list[float] = []
        self.margin = 0.0
        self.fixed: list[float] | None = None
        self.labels: list[str] | None = None
        self.length, self.size = float(RC["xtick.major.size"]), size

    def ends(self) -> tuple[float, float]:
        """Give its limits: those that are set, or what is drawn with its margins."""
        if self.limits is not None:
            return self.limits
        low, high = min(self.seen, default=0.0), max(self.seen, default=1.0)
        more = self.margin * (high - low)
        return low - more, high + more

    def ticks(self, points: float, apart: float) -> tuple[list[float], list[str]]:
        """Give the ticks within the limits, and what is written at them.

        Args:
            points: How long it is.
            apart: How far ticks are apart at least, in sizes of their labels.
        """
        low, high = sorted(self.ends())
        most = max(1, min(9, int(points / (self.size * apart))))
        at = round_ticks(low, high, most) if self.fixed is None else self.fixed
        told = written(at) if self.labels is None else self.labels
        near = 1e-9 * (high - low)
        kept = [k for k, tick in enumerate(at) if low - near <= tick <= high + near]
        return [at[k] for k in kept], [told[k] if k < len(told) else "" for k in kept]
