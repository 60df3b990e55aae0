"""Items: how each task did as a question to a class: how hard it was, and what it tells apart.

*Discrimination* is the corrected item-total correlation: Pearson's r between a task's points and
the points of the lesson's other tasks, over the learners whose points in it are all given.

Source: S. Henrysson, "Correction of item-total correlations in item analysis", Psychometrika 28
(1963) 211-218 (the idea, from memory); that below 0.2 a question is worth a look is common practice
(R. L. Ebel's rule of thumb, from memory).
"""

from __future__ import annotations

import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..course.scores import Score

__all__ = ["FEWEST", "Item", "discrimination", "items"]

FEWEST = 8
"""Of fewer learners a correlation says nothing; invented."""


@dataclass(frozen=True)
class Item:
    """One graded cell.

    Attributes:
        lesson: The lesson.
        cell: The cell.
        most: Its points.
        marked: How many are marked.
        mean: The mean share of the points; None if nobody's is marked.
        full: The share of those who have all points; None as before.
        discrimination: See above; None where it cannot be told.
    """

    lesson: str
    cell: str
    most: float
    marked: int
    mean: float | None
    full: float | None
    discrimination: float | None


def items(scores: Sequence[Score]) -> list[Item]:
    """Give all graded cells of a course in order."""
    found = []
    table: dict[str, dict[str, dict[str, float | None]]] = defaultdict(lambda: defaultdict(dict))
    for s in scores:
        if s.handed_in:
            table[s.lesson][s.learner][s.cell] = None if s.by_hand else s.points
    for lesson, cell, most in dict.fromkeys((s.lesson, s.cell, s.most) for s in scores):
        own = [points for row in table[lesson].values() if (points := row.get(cell)) is not None]
        shares = [points / most for points in own] if most else []
        found.append(Item(
            lesson, cell, most, len(own),
            statistics.fmean(shares) if shares else None,
            sum(share >= 1.0 for share in shares) / len(shares) if shares else None,
            discrimination(list(table[lesson].values()), cell),
        ))  # fmt: skip
    return found


def discrimination(rows: Sequence[Mapping[str, float | None]], cell: str) -> float | None:
    """Give the corrected item-total correlation of one cell.

    Args:
        rows: The points of each learner by cell, None for what is not given yet.
        cell: The cell.

    Returns:
        From -1 to 1; None with too few learners, no other task, or no difference between learners.
    """
    whole = [row for row in rows if cell in row and None not in row.values()]
    mine = [row[cell] or 0.0 for row in whole]
    rest = [sum(points or 0.0 for name, points in row.items() if name != cell) for row in whole]
    if len(whole) < FEWEST or len({*mine}) < 2 or len({*rest}) < 2:
        return None
    return statistics.correlation(mine, rest)
