"""Plane: axes for a picture whose limits are known, without what matplotlib does to find them."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.axis import Axis, XAxis, YAxis
from matplotlib.collections import Collection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

__all__ = ["Plane"]


class _Ticks(Axis):
    """An axis that has no tick until one is asked for; matplotlib's makes two at once."""

    majorTicks: list[Any]
    minorTicks: list[Any]

    def reset_ticks(self) -> None:
        """Take all ticks off."""
        self.majorTicks, self.minorTicks = [], []

    def _copy_tick_props(self, src: Any, dest: Any) -> None:
        """Leave a new tick as it was made, which is as all the others were."""

    def draw(self, renderer: Any) -> None:
        """Draw the ticks, without a look for the room that a label would have beyond them."""
        if self.label.get_text():
            super().draw(renderer)
            return
        for tick in self._update_ticks():  # type: ignore[attr-defined]
            tick.draw(renderer)


class _X(_Ticks, XAxis):
    pass


class _Y(_Ticks, YAxis):
    pass


class Plane(Axes):
    """Axes that never look at what is drawn to find their limits: set both outright."""

    def _init_axis(self) -> None:  # where matplotlib's own projections make theirs
        self.xaxis, self.yaxis = _X(self, clear=False), _Y(self, clear=False)
        for axis, sides in ((self.xaxis, ("bottom", "top")), (self.yaxis, ("left", "right"))):
            for side in sides:
                self.spines[side].register_axis(axis)

    def clear(self) -> None:
        """Take off all that is drawn."""
        super().clear()
        for spine in self.spines.values():
            spine.set_position(("outward", 0.0))  # else its first tick would put it there

    def add_line(self, line: Line2D) -> Line2D:
        """Add a line."""
        self.add_artist(line)
        return line

    def add_patch(self, p: Patch) -> Patch:
        """Add a shape."""
        self.add_artist(p)
        return p

    def add_collection(self, collection: Collection, autolim: Any = False) -> Collection:
        """Add a collection."""
        self.add_artist(collection)
        return collection
