"""Weave: how much a tug turned to and fro beyond what the line that it followed turns."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .track import Track

__all__ = ["to_and_fro"]

_STEP = 0.005
"""Way in m from one look at the line's own direction to the next."""


def to_and_fro(
    line: Track, begin: float, gone: Sequence[float], headings: Sequence[float]
) -> float:
    """Give the degrees a metre by which a tug turned more than the line does, at least 0.

    *Model*: the sum of all turns of the tug, whichever way, less that of the line over the same
    stretch, by the length of the stretch.  A tug that keeps perfectly to the line has 0.

    Args:
        line: The line.
        begin: Where on the line `gone` is 0, in m.
        gone: Way along the line at each sample, in m.
        headings: The tug's heading at each sample, in rad, not wrapped.
    """
    metres = gone[-1] - gone[0]
    if metres <= 0.05:
        return 0.0
    tug = sum(abs(b - a) for a, b in zip(headings, headings[1:], strict=False))
    count = max(1, round(metres / _STEP))
    ways = [line.way(begin + gone[0] + metres * k / count) for k in range(count + 1)]
    turns = (math.remainder(b - a, math.tau) for a, b in zip(ways, ways[1:], strict=False))
    return math.degrees(max(tug - sum(map(abs, turns)), 0.0)) / metres
