"""Picture: the scores of a class on one page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..course.scores import Score

__all__ = ["draw_scores"]

_INK, _FAINT = "#1a1a1a", "#6b6b6b"
_BAR = "#56b4e9"
"""Sky blue of the set that Okabe and Ito published for readers who see colours differently."""


def draw_scores(scores: Sequence[Score], file: Path, title: str) -> Path:
    """Draw a block a lesson, a row a learner, a column a graded cell: bars for the shares.

    Args:
        scores: The scores, see `course.scores`.
        file: Where the picture goes (PNG).
        title: What stands above it.

    Returns:
        The file.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    learners = list(dict.fromkeys(s.learner for s in scores))
    lessons = {
        lesson: list(dict.fromkeys(s.cell for s in scores if s.lesson == lesson))
        for lesson in dict.fromkeys(s.lesson for s in scores)
    }
    columns = max(map(len, lessons.values()))
    block = len(learners) + 1.9
    rows = block * len(lessons) + 1.2
    figure = Figure(figsize=(1.6 + 1.35 * columns, 0.42 * rows), dpi=110)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(-1.1, columns + 0.05), ylim=(rows, 0.0))
    axes.axis("off")
    axes.text(-1.0, 0.6, title, size=13, weight="bold", color=_INK)
    for number, (lesson, cells) in enumerate(lessons.items()):
        top = 1.5 + block * number
        axes.text(-1.0, top, lesson, size=9.5, weight="bold", color=_INK)
        for column, cell in enumerate(cells):
            most = next(s.most for s in scores if s.cell == cell)
            name = cell.removeprefix(f"{lesson}-").replace("-", " ")
            axes.text(column, top, f"{name}, of {most:g}", size=8.5, color=_FAINT)
        for row, learner in enumerate(learners):
            axes.text(-1.0, top + 0.6 + row, learner, size=9.5, va="center", color=_INK)
        for score in scores:
            if score.lesson == lesson:
                row = learners.index(score.learner)
                _draw_score(axes, score, cells.index(score.cell), top + 0.6 + row)
    axes.text(
        -1.0, rows - 0.3, "bar: share of the points     –  not handed in     "
        "✎  waits to be marked by hand", size=8, color=_FAINT, family="DejaVu Sans",
    )  # fmt: skip
    figure.savefig(file, metadata={"Title": title, "Software": None})
    return file


def _draw_score(axes: object, score: Score, x: float, y: float) -> None:
    from matplotlib.axes import Axes
    from matplotlib.patches import Rectangle

    assert isinstance(axes, Axes)
    width, height = 0.58, 0.46
    frame = (x, y - height / 2)
    if not score.handed_in or score.by_hand:
        word = "✎" if score.by_hand else "–"
        axes.text(x + 0.02, y, word, size=10, va="center", color=_INK, family="DejaVu Sans")
        return
    axes.add_artist(Rectangle(frame, width, height, fc="none", ec=_FAINT, lw=0.6))
    share = score.points / score.most
    axes.add_artist(Rectangle(frame, width * share, height, fc=_BAR, ec="none"))
    axes.text(x + width + 0.06, y, f"{score.points:g}", size=9.5, va="center", color=_INK)
