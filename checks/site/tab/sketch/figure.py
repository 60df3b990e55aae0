"""Figure: a picture as SVG, with the axes and texts on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from html import escape
from typing import Any

from . import marks
from .axes import Axes
from .limits import limited
from .scale import RC

__all__ = ["Figure", "FigureCanvasAgg", "rc_context"]

_POINTS = 72.0


@contextmanager
def rc_context(settings: Mapping[str, Any]) -> Iterator[None]:
    """Draw with other settings; there are no others here, so they stay."""
    RC.update(settings)
    yield


def FigureCanvasAgg(_: Any) -> None:  # noqa: N802
    """Take a figure to draw on; ours needs nothing beside it."""


@limited
class Figure:
    """A picture.

    Args:
        figsize: Its width and height in inches.
    """

    def __init__(self, figsize: tuple[float, float], **_: Any) -> None:
        self._inches = figsize
        self._label = ""
        self._axes: list[Axes] = []
        self._texts: list[str] = []

    def get_figwidth(self) -> float:
        """Give its width in inches."""
        return self._inches[0]

    def get_figheight(self) -> float:
        """Give its height in inches."""
        return self._inches[1]

    def set_label(self, label: str) -> None:
        """Set what it shows, in words."""
        self._label = label

    def get_label(self) -> str:
        """Give what it shows, in words."""
        return self._label

    def add_axes(self, box: tuple[float, float, float, float], label: str = "") -> Axes:
        """Add axes: left, bottom, width and height as shares of the figure."""
        wide, high = (_POINTS * inches for inches in self._inches)
        place = (box[0] * wide, box[1] * high, box[2] * wide, box[3] * high)
        made = Axes(place, f"a{len(self._axes)}", label)
        self._axes.append(made)
        return made

    def text(self, x: float, y: float, words: str, **style: Any) -> None:
        """Write, at shares of the figure."""
        wide, high = (_POINTS * inches for inches in self._inches)
        style = {"fontsize": RC["font.size"], "color": RC["text.color"], **style}
        self._texts.append(marks.text(x * wide, y * high, words, **style))

    def svg(self) -> str:
        """Give it as the text of an SVG file."""
        wide, high = (_POINTS * inches for inches in self._inches)
        drawn = "".join([axes.svg() for axes in self._axes] + self._texts)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 {-high:.2f} {wide:.2f} {high:.2f}"'
            f' role="img"><title>{escape(self._label)}</title><rect y="{-high:.2f}" width="100%"'
            f' height="100%" fill="{RC["figure.facecolor"]}"/>{drawn}</svg>'
        )
