"""Marks: the SVG of lines, markers, areas and texts, at places in points."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from .letters import ASCENT, DESCENT, wide

__all__ = ["Point", "area", "attributes", "hatching", "line", "markers", "stepped", "text"]

Point = tuple[float, float]
_HATCHES = {
    "//": "<path d='M-3,3 l6,-6 M0,12 l12,-12 M9,15 l6,-6' stroke='{}' stroke-width='0.6'/>",
    "||||": "<path d='M1.5,0 v12 M4.5,0 v12 M7.5,0 v12 M10.5,0 v12' stroke='{}'/>",
    "..": "<circle cx='3' cy='3' r='0.7' fill='{0}'/><circle cx='9' cy='9' r='0.7' fill='{0}'/>",
}
_SHAPES: dict[str, tuple[Point, ...]] = {
    "s": ((-1, -1), (1, -1), (1, 1), (-1, 1)),
    "v": ((-1, 1), (1, 1), (0, -1)),
    "^": ((-1, -1), (1, -1), (0, 1)),
    "D": ((0, -1.41), (1.41, 0), (0, 1.41), (-1.41, 0)),
}
"""Corners of a marker, in halves of its size."""
_ANCHORS = {"left": "start", "center": "middle", "right": "end"}
_FONTS = {
    None: "'DejaVu Sans', Verdana, sans-serif",
    "DejaVu Sans Mono": "'DejaVu Sans Mono', monospace",
}


def attributes(**given: Any) -> str:
    """Give attributes as they stand in a tag; those that are None are left out."""
    told = {name.replace("_", "-"): value for name, value in given.items() if value is not None}
    return "".join(
        f' {name}="{escape(f"{value:.2f}" if isinstance(value, float) else str(value))}"'
        for name, value in told.items()
    )


def _path(points: Iterable[Point]) -> str:
    return "M" + " L".join(f"{x:.2f},{-y:.2f}" for x, y in points)


def _dashes(style: Any, width: float) -> str | None:
    if isinstance(style, str):
        return None
    return " ".join(f"{max(part * width, 0.01):.2f}" for part in style[1])


def line(
    points: Sequence[Point], *, color: str, linewidth: float, linestyle: Any = "solid",
    capstyle: str = "round", joinstyle: str = "round", clip: str | None = None,
    gid: str | None = None,
) -> str:  # fmt: skip
    """Give a line through points."""
    dashes = _dashes(linestyle, linewidth)
    told = attributes(
        d=_path(points), fill="none", stroke=color, stroke_width=float(linewidth),
        stroke_dasharray=dashes, stroke_linecap="butt" if dashes else capstyle,
        stroke_linejoin=joinstyle, clip_path=clip, data_name=gid,
    )  # fmt: skip
    return f"<path{told}/>"


def markers(
    points: Iterable[Point], kind: str, *, size: float, face: str, edge: str, width: float = 1.0,
    clip: str | None = None, gid: str | None = None,
) -> str:  # fmt: skip
    """Give a marker at each of some places."""
    drawn = []
    for x, y in points:
        half = size / 2
        if kind == ",":
            drawn.append(f"<rect{attributes(x=float(x), y=float(-y), width=0.72, height=0.72)}/>")
        elif kind == "o":
            drawn.append(f"<circle{attributes(cx=float(x), cy=float(-y), r=float(half))}/>")
        elif kind == "x":
            d = f"M{x - half:.2f},{-y - half:.2f} l{size},{size} m0,{-size} l{-size},{size}"
            drawn.append(f'<path d="{d}"/>')
        else:
            corners = [(x + half * a, y + half * b) for a, b in _SHAPES[kind]]
            drawn.append(f'<path d="{_path(corners)} Z"/>')
    told = attributes(fill=face, stroke=edge, stroke_width=width, clip_path=clip, data_name=gid)
    return f"<g{told}>{''.join(drawn)}</g>"


def stepped(points: Sequence[Point], where: str) -> list[Point]:
    """Give the corners of a line of steps, which go up where a point is, or before it."""
    corners = list(points[:1])
    for (a, b), (c, d) in zip(points, points[1:], strict=False):
        corners += [(c, b) if where == "post" else (a, d), (c, d)]
    return corners


def hatching(hatch: str, colour: str) -> tuple[str, str]:
    """Give the name of a hatching, and what defines it."""
    name = f"h{list(_HATCHES).index(hatch)}{colour.lstrip('#')}"
    inside = _HATCHES[hatch].format(colour)
    size = attributes(id=name, width=12, height=12, patternUnits="userSpaceOnUse")
    return name, f"<pattern{size}>{inside}</pattern>"


def area(
    d: str | Sequence[Point], *, facecolor: str = "none", edgecolor: str = "none",
    linewidth: float = 1.0, linestyle: Any = "solid", alpha: float | None = None,
    hatch: str = "", clip: str | None = None, gid: str | None = None,
) -> str:  # fmt: skip
    """Give an area, by its corners or as a path."""
    shape = d if isinstance(d, str) else f"{_path(d)} Z"
    told = attributes(
        d=shape, fill=facecolor, stroke=edgecolor if linewidth else "none",
        stroke_width=float(linewidth), stroke_dasharray=_dashes(linestyle, linewidth),
        opacity=alpha, clip_path=clip, data_name=gid,
    )  # fmt: skip
    drawn = f"<path{told}/>"
    if hatch:
        name, defined = hatching(hatch, edgecolor)
        drawn += f"{defined}<path{attributes(d=shape, fill=f'url(#{name})', clip_path=clip)}/>"
    return drawn


def text(
    x: float, y: float, words: str, *, fontsize: float, color: str, fontweight: str = "normal",
    ha: str = "left", va: str = "baseline", family: str | None = None,
    bbox: dict[str, Any] | None = None, gid: str | None = None, clip: str | None = None,
) -> str:  # fmt: skip
    """Give a text, of one line or several."""
    rows = words.split("\n")
    step = _step(fontsize)
    high = ASCENT * fontsize + step * (len(rows) - 1)
    low = DESCENT * fontsize
    top = {
        "top": y - ASCENT * fontsize, "baseline": y + high - ASCENT * fontsize,
        "bottom": y + low + high - ASCENT * fontsize,
        "center": y + (high + low) / 2 - ASCENT * fontsize,
    }[va]  # fmt: skip
    drawn = [_behind(x, top, rows, fontsize, fontweight, ha, bbox)] if bbox else []
    for k, row in enumerate(rows):
        if not row.strip():
            continue
        mono = family == "DejaVu Sans Mono"
        width = 0.602 * fontsize * len(row) if mono else wide(row, fontsize, fontweight)
        told = attributes(
            x=float(x), y=float(-(top - k * step)), font_size=float(fontsize), fill=color,
            font_family=_FONTS[family], text_anchor=_ANCHORS[ha],
            font_weight=None if fontweight == "normal" else fontweight,
            textLength=float(width), lengthAdjust="spacingAndGlyphs", data_name=gid,
            clip_path=clip,
        )  # fmt: skip
        drawn.append(f'<text xml:space="preserve"{told}>{escape(row)}</text>')
    return "".join(drawn)


def _step(size: float) -> float:
    """Give how far one line of a text is below the other, in matplotlib's whole dots."""
    return 1.26 * size


def _behind(
    x: float, top: float, rows: Sequence[str], size: float, weight: str, ha: str,
    box: dict[str, Any],
) -> str:  # fmt: skip
    """Give the paper behind a text, which is a little larger."""
    pad = float(box["pad"])
    width = max(wide(row, size, weight) for row in rows)
    left = x - {"left": 0.0, "center": width / 2, "right": width}[ha]
    low = top - _step(size) * (len(rows) - 1) - DESCENT * size
    right, high = left + width + pad, top + ASCENT * size + pad
    corners = [(left - pad, low - pad), (right, low - pad), (right, high), (left - pad, high)]
    return area(corners, facecolor=box["facecolor"], edgecolor=box["edgecolor"])
