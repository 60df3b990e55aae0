"""Lines: how each of several is drawn.  No drawing library is needed: a replay has as many."""

from __future__ import annotations

from typing import NamedTuple

from .colours import OKABE_ITO, readable

__all__ = ["LINES", "MOST_RUNS", "Line", "line_for"]


class Line(NamedTuple):
    """How one of several lines is drawn: no two agree in dashes and marker."""

    colour: str
    dashes: tuple[float, tuple[float, ...]] | str
    marker: str


LINES = (
    Line(OKABE_ITO["blue"], "solid", "o"),
    Line(OKABE_ITO["vermilion"], (0, (5, 2)), "s"),
    Line(OKABE_ITO["green"], (0, (7, 1.6, 1.2, 1.6)), "^"),
    Line(OKABE_ITO["black"], (0, (1.2, 1.4)), "D"),
    Line(readable(OKABE_ITO["purple"]), (0, (9, 2, 1.2, 2, 1.2, 2)), "v"),
    Line(readable(OKABE_ITO["orange"]), (0, (2.4, 1.4)), "P"),
)
"""In the order of use; each colour stands out 3:1 from paper, as WCAG 2.2 (1.4.11) asks."""
MOST_RUNS = len(LINES)
"""So many paths can be told apart on one picture; replay.js has as many looks."""


def line_for(number: int) -> Line:
    """Give the style of the line with a number, counted from 0."""
    return LINES[number % len(LINES)]
