"""Stage: one figure that is drawn on again and again, while a slider moves or a class is marked.

Most of the time that a picture takes goes into making its axes and measuring its texts, which are
the same the next time.  Within `on_stage` a drawing gets the figure and the axes of the last one,
emptied; what it makes of them is dot for dot what it would make of new ones (a test holds that).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox

__all__ = ["Stage", "on_stage", "stage_figure"]


class Stage(Figure):
    """A figure whose axes are used again, by their label and place.

    Attributes:
        kept: The axes that may be used again; no more than `most`, as places differ with what is
            drawn.  A picture has about five.
    """

    most = 100

    def __init__(self, width: float, height: float) -> None:
        super().__init__(figsize=(width, height), dpi=100)
        FigureCanvasAgg(self)
        self.kept: dict[Any, Axes] = {}

    def clear_for(self, width: float, height: float) -> None:
        """Empty it for the next drawing, of a size in inches."""
        self.set_size_inches(width, height)
        for artist in (*self.texts, *self.lines, *self.patches, *self.artists):
            artist.remove()
        for axes in self.axes:
            self.delaxes(axes)

    def add_axes(self, *args: Any, **named: Any) -> Axes:
        """Give emptied axes where there were some of this label and place; else new ones."""
        place = tuple(round(float(n), 9) for n in args[0])
        key = (place, named.get("label", ""))
        known = self.kept.pop(key, None)
        if len(self.kept) >= self.most:
            self.kept.clear()
        if known is None or len(named) > 1:
            known = super().add_axes(*args, **named)
        else:
            _empty(known)
            super().add_axes(known)
        self.kept[key] = known
        return known


_ON: ContextVar[list[Stage] | None] = ContextVar("stage", default=None)


@contextmanager
def on_stage(stages: list[Stage] | None) -> Iterator[None]:
    """Let what is drawn inside the `with` block be drawn on a stage, which the list keeps."""
    before = _ON.set(stages)
    try:
        yield
    finally:
        _ON.reset(before)


def stage_figure(width: float, height: float) -> Figure | None:
    """Give the stage's figure, emptied; None where nothing moves."""
    stages = _ON.get()
    if stages is None:
        return None
    if not stages:
        stages.append(Stage(width, height))
    stages[0].clear_for(width, height)
    return stages[0]


def _empty(axes: Axes) -> None:
    for artist in axes.get_children():
        if artist in axes._children:  # type: ignore[attr-defined]
            artist.remove()
    for place in ("left", "center", "right"):
        if axes.get_title(loc=place):
            axes.set_title("", loc=place)
    axes.dataLim.set(Bbox.null())
    axes.ignore_existing_data_limits = True
    axes.set_autoscale_on(True)
