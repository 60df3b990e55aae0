"""Letters: draws a figure's dots, and each text with one look at its letters.

Matplotlib's own renderer lays a text out to measure it and again to draw it, and then draws it
letter by letter; in a picture of ours that was a third of all the work.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg, get_hinting_flag
from matplotlib.font_manager import FontProperties, findfont, get_font

__all__ = ["Canvas", "Renderer"]


class _Written(NamedTuple):
    """A text in dots: width, height and descent, how opaque each is, and its upper left corner."""

    size: tuple[float, float, float]
    dots: np.ndarray[Any, Any]
    corner: tuple[float, int]


class Renderer(RendererAgg):
    """Draws as matplotlib's does, but each level text at a whole dot."""

    def __init__(self, width: float, height: float, dpi: float) -> None:
        super().__init__(width, height, dpi)  # type: ignore[no-untyped-call]
        self._written: dict[tuple[str, int], _Written] = {}

    def _write(self, text: str, prop: FontProperties) -> _Written:
        key = text, hash(prop)
        if key not in self._written:
            font = get_font(findfont(prop))
            font.set_size(prop.get_size_in_points(), self.dpi)
            font.set_text(text, 0.0, flags=get_hinting_flag())  # type: ignore[no-untyped-call]
            font.draw_glyphs_to_bitmap()
            (width, height), descent = font.get_width_height(), font.get_descent()
            # The dots have a margin of one; see FT2Font::draw_glyphs_to_bitmap.
            corner = font.get_bitmap_offset()[0] / 64, -((height - descent) // 64) - 1
            size = width / 64, height / 64, descent / 64
            self._written[key] = _Written(size, font.get_image(), corner)
        return self._written[key]

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: Any
    ) -> tuple[float, float, float]:
        """Give the size of a text in dots."""
        if ismath:
            return super().get_text_width_height_descent(s, prop, ismath)  # type: ignore
        return self._write(s, prop).size

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: FontProperties, angle: float,
        ismath: Any = False, mtext: Any = None,
    ) -> None:  # fmt: skip
        """Draw a text; the place is that of its baseline, in dots from the upper left."""
        if ismath or angle:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)  # type: ignore
            return
        written = self._write(s, prop)
        *colour, opaque = gc.get_rgb()
        image = np.empty((*written.dots.shape, 4), dtype=np.uint8)
        image[..., :3] = [round(255 * part) for part in colour]
        image[..., 3] = np.rint(opaque * written.dots[::-1])
        left, top = round(x + written.corner[0]), round(y) + written.corner[1]
        self.draw_image(gc, left, self.height - top - len(image), image)


class Canvas(FigureCanvasAgg):
    """A canvas that draws with `Renderer`."""

    _size: tuple[float, ...] = ()
    _pen: Renderer

    def get_renderer(self) -> Renderer:
        """Give the renderer for the figure as it is."""
        size = (*self.figure.bbox.size, self.figure.dpi)
        if size != self._size:
            self._pen, self._size = Renderer(*size), size
        return self._pen
