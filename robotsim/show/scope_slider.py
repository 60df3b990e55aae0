"""Scope slider: the scope of a recording with controls for where it looks and what it measures."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from ..recording import Recording
from ..units import SECOND
from .scope import scope_figure
from .scope_window import window_of
from .sliding import Choice, Span, slide

__all__ = ["LENGTHS", "slide_scope"]

LENGTHS = (1e-5, 5e-5, 2e-4, 1e-3, 5e-3, 0.02, 0.05, 0.2, 1.0, 5.0)
"""Windows in s that can be chosen."""


def slide_scope(recording: Recording, *pins: str | int, begin: float | None = None) -> None:
    """Show the scope with controls: where the window begins, its length, the cursors A and B.

    Args:
        recording: Where to look.
        pins: Roles as in `robotsim.PINS` or numbers; without any those that were used.
        begin: Where the window begins at first, in s.

    Raises:
        UnknownNameError: There is no such pin.
        KitError: There is nothing to see.
    """
    window = window_of(recording, pins, begin)
    length = (window.end - window.begin) / SECOND
    nearest = min(LENGTHS, key=lambda each: abs(each - length))
    at = window.begin / SECOND
    last = max(recording.seconds - LENGTHS[0], 0.0)

    def draw(start: float, seconds: float, a: float, b: float) -> Figure:
        cursors: Sequence[float] = [start + share / 100 * seconds for share in (a, b)]
        return scope_figure(recording, *window.names, begin=start, seconds=seconds, cursors=cursors)

    names = ["10 µs", "50 µs", "200 µs", "1 ms", "5 ms", "20 ms", "50 ms", "200 ms", "1 s", "5 s"]
    slide(
        draw,
        Span("start", "begins at, in s", at, 0.0, last, 1e-5, 6),
        Choice("seconds", "shows", nearest, list(zip(names, LENGTHS, strict=True))),
        Span("a", "cursor A, in % of it", 25, 0, 100, 0.1, 1),
        Span("b", "cursor B, in % of it", 75, 0, 100, 0.1, 1),
    )
