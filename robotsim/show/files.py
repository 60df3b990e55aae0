"""Files: a figure as PNG, SVG or PDF."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from ..errors import KitError
from .style import styled

__all__ = ["mapped", "png", "save", "svg"]

_KEPT, _MIXED = 160, 96
"""Palette: the commonest colours as they are, and a few for the edges of letters and lines."""
_MOST = 1 << 14
"""A picture of more colours keeps them all."""
_Dots = np.ndarray[Any, Any]
_Runs = tuple[_Dots, _Dots, _Dots]


def png(drawn: Figure, *, dots_per_inch: int = 130, small: bool = True) -> bytes:
    """Give a figure as the bytes of a PNG file.

    The picture has a palette of 256 colours, which makes it a third as large; areas
    keep their exact colour, only pixels on the edges of shapes may be off by a little.

    Args:
        drawn: The figure.
        dots_per_inch: How finely it is drawn.
        small: Whether to take that trouble; without it the file is there sooner.
    """
    canvas = drawn.canvas
    if not isinstance(canvas, FigureCanvasAgg):
        canvas = FigureCanvasAgg(drawn)
    before = drawn.dpi
    try:
        with styled():
            drawn.set_dpi(dots_per_inch)
            canvas.draw()  # type: ignore[no-untyped-call]
            dots = np.asarray(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
    finally:
        drawn.set_dpi(before)
    told = PngInfo()
    told.add_text("Software", "Quayside")
    told.add_itxt("Description", str(drawn.get_label()))
    kept = io.BytesIO()
    picture = _with_palette(dots) if small else Image.fromarray(dots).convert("RGB")
    picture.save(kept, format="PNG", pnginfo=told, dpi=(dots_per_inch, dots_per_inch),
                 compress_level=6 if small else 1)  # fmt: skip
    return kept.getvalue()


def _with_palette(dots: _Dots) -> Image.Image:
    """Give a picture (height, width, 4) in which each dot has its nearest of 256 colours.

    The common ones are exact.
    """
    runs = there, which, lengths = _runs(dots)
    if len(there) > _MOST:
        return Image.fromarray(dots).convert("RGB")
    often = np.lexsort((*there.T[::-1], np.bincount(which, lengths)))[::-1]
    each = Image.fromarray(there[np.newaxis].astype(np.uint8))
    mixed = each.quantize(_MIXED, method=Image.Quantize.MAXCOVERAGE).getpalette() or []
    others = np.array(mixed[: 3 * _MIXED]).reshape(-1, 3)
    return _nearest(dots.shape, runs, np.vstack([there[often[:_KEPT]], others]))


def mapped(picture: Image.Image, palette: _Dots) -> Image.Image:
    """Give a picture with a palette in which each pixel has the nearest colour.

    Args:
        picture: In red, green and blue.
        palette: Up to 256 colours, (n, 3), 0 to 255.
    """
    dots = np.asarray(picture.convert("RGBA"))
    return _nearest(dots.shape, _runs(dots), palette)


def _nearest(shape: tuple[int, ...], runs: _Runs, palette: _Dots) -> Image.Image:
    there, which, lengths = runs
    # |a - b|^2 = |a|^2 - 2 a.b + |b|^2, of which |a|^2 is the same for every b; these whole
    # numbers are exact in single precision
    near, far = there.astype(np.float32), palette.astype(np.float32)
    nearest = ((far**2).sum(axis=1) - 2 * near @ far.T).argmin(axis=1).astype(np.uint8)
    small = Image.fromarray(np.repeat(nearest[which], lengths).reshape(shape[:2]))
    small.putpalette(palette.astype(np.uint8).tobytes())
    return small


def _runs(dots: _Dots) -> _Runs:
    """Give a picture's colours (n, 3), and for each run of equal dots which and how long."""
    flat = np.ascontiguousarray(dots).view(np.uint32).ravel()
    starts = np.flatnonzero(np.concatenate(([True], flat[1:] != flat[:-1])))
    colours, which = np.unique(flat[starts], return_inverse=True)
    return colours.view(np.uint8).reshape(-1, 4)[:, :3], which, np.diff(starts, append=len(flat))


def svg(drawn: Figure) -> str:
    """Give a figure as the text of an SVG file; the same figure gives the same text."""
    kept = io.StringIO()
    told = {"Date": None, "Creator": "Quayside", "Title": str(drawn.get_label())}
    with styled():
        drawn.savefig(kept, format="svg", metadata=told)
    return kept.getvalue()


def save(drawn: Figure, path: str | Path, *, dots_per_inch: int = 200) -> Path:
    """Write a figure to a file whose name ends in .png, .svg or .pdf, and give its path."""
    path = Path(path)
    kind = path.suffix.lower()
    if kind not in (".png", ".svg", ".pdf"):
        raise KitError(
            f"A figure cannot be saved as {path.suffix or 'a file without an ending'!r}.",
            where=str(path), hint="let the name end in .png, .svg or .pdf.",
        )  # fmt: skip
    if kind == ".png":
        path.write_bytes(png(drawn, dots_per_inch=dots_per_inch))
    elif kind == ".svg":
        path.write_text(svg(drawn), encoding="utf-8")
    else:
        with styled():
            drawn.savefig(path, format="pdf", metadata={"CreationDate": None})
    return path
