"""Floor: the shade of paper and print at any point, looked up fast."""

from __future__ import annotations

import math
from collections.abc import Iterable

from .track import Piece, Track

__all__ = ["PAPER", "Floor"]

PAPER = 0.9
"""Share of light that white paper returns (the white side of a Kodak grey card: 90 %, read)."""

_CELLS = 100.0
"""Cells of the grid in a metre."""
_SHIFT = 1000.0
"""Cells between the grid's edge and the table's corner: 10 m, more than a tug can stray."""
_ROWS = 8192
_BLOCK = 8
"""Cells along the side of a block; only the pieces near a block are asked about its cells."""
_SPOT = 0.0025
"""Largest radius in m of a spot that may be asked about whether its shade is even."""
_JOIN = 1e-9
"""Length in m by which pieces overlap, lest rounding leave a slit between two of them."""
_Shape = tuple[float, ...]
_Part = tuple[Piece, float, float]
"""A piece, half its width in m, its shade."""


class Floor:
    """Shade of the floor, a hard edge between paper and print.

    *Model*: a stroke covers what lies within half its width of a straight or
    an arc; where strokes cross the darkest shows.  A grid keeps for each cell
    the few pieces that come near it, found when the cell is first looked at.
    Off the grid, and under the walls, lies paper.

    Args:
        strokes: Track, width in m and shade of each stroke.
    """

    __slots__ = ("_blocks", "_cells", "_pieces")

    def __init__(self, strokes: Iterable[tuple[Track, float, float]] = ()) -> None:
        parts = [(p, 0.5 * width, shade) for track, width, shade in strokes for p in track.pieces]
        self._pieces: list[_Part] = sorted(parts, key=lambda part: part[2])
        self._blocks: dict[tuple[int, int], list[_Part]] = {}
        self._cells: dict[int, tuple[_Shape, ...]] = {}

    def __call__(self, x: float, y: float) -> float:
        """Give the share of light that the floor returns at (x, y) in m."""
        key = int(x * _CELLS + _SHIFT) * _ROWS + int(y * _CELLS + _SHIFT)
        try:
            cell = self._cells[key]
        except KeyError:
            cell = self._cells[key] = self._look(key)
        for a, b, c, d, e, f, g, h, kind, shade in cell:  # the darkest comes first
            dx, dy = x - a, y - b
            if kind == 0.0:  # a straight: a, b its beginning, (c, d) its way
                if -e <= dy * c - dx * d <= e and -_JOIN <= dx * c + dy * d <= f:
                    return shade
            elif c <= dx * dx + dy * dy <= d and (  # an arc: a, b its centre
                kind == 1.0 or (dx * e + dy * f >= -_JOIN and dx * g + dy * h <= _JOIN)
            ):
                return shade
        return PAPER

    def even(self, x: float, y: float, radius: float) -> float | None:
        """Give the shade about (x, y) up to a radius of at most 2.5 mm, None if it may differ."""
        key = int(x * _CELLS + _SHIFT) * _ROWS + int(y * _CELLS + _SHIFT)
        try:
            cell = self._cells[key]
        except KeyError:
            cell = self._cells[key] = self._look(key)
        radius += _JOIN
        for a, b, c, d, e, f, _, _, kind, shade in cell:
            dx, dy = x - a, y - b
            if kind == 0.0:
                off, along = abs(dy * c - dx * d), dx * c + dy * d
                if off > e + radius or not -radius < along < f + radius:
                    continue
                all_over = off < e - radius and radius < along < f - radius
            else:
                off, low, high = math.hypot(dx, dy), math.sqrt(c), math.sqrt(d)
                if not low - radius < off < high + radius:
                    continue
                all_over = kind == 1.0 and low + radius < off < high - radius
            return shade if all_over else None
        return PAPER

    def _look(self, key: int) -> tuple[_Shape, ...]:
        """Find what comes near a cell."""
        column, row = divmod(key, _ROWS)
        block = (column // _BLOCK, row // _BLOCK)
        if block not in self._blocks:
            corner = (block[0] * _BLOCK, block[1] * _BLOCK)
            near = _near(self._pieces, corner, _BLOCK)
            self._blocks[block] = [part for part, _ in near]
        near = _near(self._blocks[block], (column, row), 1)
        reach = _reach(1)
        return tuple(
            _shape(*part, 3.0 * reach < along < part[0].length - 3.0 * reach)
            for part, along in near
        )


def _reach(cells: int) -> float:
    """Give how far in m from the middle of so many cells square a spot in them reaches."""
    return cells * math.sqrt(0.5) / _CELLS + _SPOT + 1e-6


def _near(parts: Iterable[_Part], corner: tuple[int, int], cells: int) -> list[tuple[_Part, float]]:
    """Give the pieces that come near a square of cells, and how far along its middle is (m)."""
    x = (corner[0] + 0.5 * cells - _SHIFT) / _CELLS
    y = (corner[1] + 0.5 * cells - _SHIFT) / _CELLS
    found = []
    for part in parts:
        along, offset = part[0].nearest(x, y)
        if abs(offset) <= part[1] + _reach(cells):
            found.append((part, along))
    return found


def _shape(piece: Piece, half: float, shade: float, inner: bool) -> _Shape:
    """Give a piece as the numbers that `Floor.__call__` compares with.

    Args:
        piece: The piece.
        half: Half its width in m.
        shade: Its shade.
        inner: Whether the cell lies well between the piece's ends.
    """
    c, s = math.cos(piece.heading), math.sin(piece.heading)
    if not piece.curvature:
        return piece.x, piece.y, c, s, half, piece.length + _JOIN, 0.0, 0.0, 0.0, shade
    radius = 1.0 / piece.curvature
    x, y = piece.x - radius * s, piece.y + radius * c
    low, high = (abs(radius) - half) ** 2, (abs(radius) + half) ** 2
    way = piece.at(piece.length)[2]
    kind = 1.0 if inner else 2.0
    return x, y, low, high, c, s, math.cos(way), math.sin(way), kind, shade
