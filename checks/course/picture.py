"""Picture: the scores of a class on one page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from .grader import Score

__all__ = ["draw_scores"]

_INK, _FAINT = "#1a1a1a", "#6b6b6b"
_BAR = "#56b4e9"
"""Sky blue of the set that Okabe and Ito published for readers who see colours differently."""


def draw_scores(scores: Sequence[Score], file: Path, title: str) -> Path:
    """Draw a row a learner and a column a graded cell: a bar for the share, the points beside it.

    Args:
        scores: The scores, see `grader.scores`.
        file: Where the picture goes (PNG).
        title: What stands above it.

    Returns:
        The file.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    learners = list(dict.fromkeys(s.learner for s in scores))
    cells = list(dict.fromkeys((s.lesson, s.cell) for s in scores))
    figure = Figure(figsize=(1.6 + 1.35 * len(cells), 1.7 + 0.42 * len(learners)), dpi=150)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(-1.1, len(cells) + 0.05), ylim=(len(learners) + 0.55, -1.75))
    axes.axis("off")
    axes.text(-1.0, -1.35, title, size=13, weight="bold", color=_INK)
    for column, (lesson, cell) in enumerate(cells):
        most = next(s.most for s in scores if s.cell == cell)
        name = cell.removeprefix(f"{lesson}-").replace("-", " ")
        first = column == 0 or cells[column - 1][0] != lesson
        if first:
            axes.text(column, -0.95, lesson, size=9.5, weight="bold", color=_INK)
            axes.plot([column - 0.06] * 2, [-1.15, len(learners) - 0.3], color=_FAINT, lw=0.6)
        axes.text(column, -0.52, f"{name}, of {most:g}", size=8.5, color=_FAINT)
    for row, learner in enumerate(learners):
        axes.text(-1.0, row, learner, size=9.5, va="center", color=_INK)
    for score in scores:
        place = cells.index((score.lesson, score.cell)), learners.index(score.learner)
        _draw_score(axes, score, *place)
    axes.text(
        -1.0, len(learners) + 0.2, "bar: share of the points     –  not handed in     "
        "✎  waits to be marked by hand", size=8, color=_FAINT, family="DejaVu Sans",
    )  # fmt: skip
    figure.savefig(file, metadata={"Title": title, "Software": None})
    return file


def _draw_score(axes: object, score: Score, x: int, y: int) -> None:
    from matplotlib.axes import Axes
    from matplotlib.patches import Rectangle

    assert isinstance(axes, Axes)
    width, height = 0.58, 0.46
    frame = (x, y - height / 2)
    if not score.handed_in or score.by_hand:
        word = "✎" if score.by_hand else "–"
        axes.text(x + 0.02, y, word, size=10, va="center", color=_INK, family="DejaVu Sans")
        return
    axes.add_patch(Rectangle(frame, width, height, fc="none", ec=_FAINT, lw=0.6))
    share = score.points / score.most
    axes.add_patch(Rectangle(frame, width * share, height, fc=_BAR, ec="none"))
    axes.text(x + width + 0.06, y, f"{score.points:g}", size=9.5, va="center", color=_INK)
