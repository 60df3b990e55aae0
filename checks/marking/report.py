"""Report: one page on a class that stands alone, and what it rests on as CSV."""

from __future__ import annotations

import csv
import io
import statistics
from collections.abc import Iterable, Sequence
from pathlib import Path

from ..course.scores import Score
from ..shown import on_line
from ..whole import write_whole
from .answers import answers_page
from .class_results import ClassResults, read_results
from .items import items
from .report_page import page, points_of, worth

__all__ = ["report", "score_rows"]

_UNREAD = "could not be read"
_EARLIER = "of an earlier file"
"""Another file has come since, and waits for marking: the points are those of the one before."""


def report(course: Path, *, anonymous: bool = False) -> list[Path]:
    """Write the report on a class: a page, and CSV files with scores, tasks, criteria and items.

    With names, the answers in words stand on a page of their own.

    Args:
        course: The course folder.
        anonymous: Numbers in place of names; into files of their own.

    Returns:
        The files.
    """
    told = read_results(course, anonymous=anonymous)
    folder = course / "report"
    mark = "-anonymous" if anonymous else ""
    files = {
        f"report{mark}.html": page(told),
        f"scores{mark}.csv": _as_csv(score_rows(told)),
        f"tasks{mark}.csv": _as_csv(_task_rows(told)),
        f"criteria{mark}.csv": _as_csv(_criterion_rows(told)),
        f"items{mark}.csv": _as_csv(_item_rows(told)),
    }
    if not anonymous:
        called = {person.id: person.name for person in told.people}
        files["answers.html"] = answers_page(course, called)
    for name, text in files.items():
        write_whole(folder / name, text.encode("utf-8"))
    return [folder / name for name in files]


# -- CSV -------------------------------------------------------------------------


def score_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a learner: points of each lesson, what was taken off for lateness, the sum.

    `of` is what counts for this learner: what is not asked of one counts neither way.  The last
    column has the points that a person has still to give, at most: they count 0 so far.
    """
    most = [worth(told, lesson) for lesson in told.lessons]
    heads = [f"{lesson} (of {m:g})" for lesson, m in zip(told.lessons, most, strict=True)]
    rows = [["id", "last_name", "first_name", "email", *heads, "late", "total", "of", "to_mark"]]
    for person in told.people:
        asked = [n for n in told.lessons if (person.id, n) not in told.excused]
        points = {lesson: points_of(told, person.id, lesson) for lesson in asked}
        late = sum(told.penalties.get((person.id, lesson), (0.0, 0.0))[0] for lesson in asked)
        total = sum(p for p in points.values() if p is not None) - late
        shown = ["excused" if n not in points else "" if points[n] is None else f"{points[n]:g}"
                 for n in told.lessons]  # fmt: skip
        of = sum(m for n, m in zip(told.lessons, most, strict=True) if n in points)
        sums = [f"{x:g}" for x in (late, total, of, _to_mark(told, person.id))]
        rows.append([person.id, person.last_name, person.first_name, person.email, *shown, *sums])
    return rows


def _to_mark(told: ClassResults, learner: str) -> float:
    """Give the most that a person has still to give: answers, and what could not be read."""
    return sum(s.most for s in told.counting if s.learner == learner
               and (s.by_hand or _state(told, s) == _UNREAD))  # fmt: skip


def _task_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a learner and task, for whoever wants to look closer; no points but those due.

    What is `excused` counts nowhere, so that whoever adds up the column counts it neither.
    """
    rows = [["id", "lesson", "task", "points", "most", "state"]]
    for s in told.scores:
        state = _state(told, s)
        points = f"{s.points:g}" if state in ("marked", _EARLIER) else ""
        rows.append([s.learner, s.lesson, s.cell, points, f"{s.most:g}", state])
    return rows


def _state(told: ClassResults, s: Score) -> str:
    """Say how a learner's task stands."""
    key = s.learner, s.lesson
    if key in told.excused:
        return "excused"
    if key in told.waiting.files:
        return _EARLIER if s.handed_in and not s.by_hand else "not marked yet"
    if s.by_hand:
        return "by hand"
    if s.handed_in:
        return "marked"
    return _UNREAD if key in told.faults else "not handed in"


def _criterion_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a learner, task and criterion."""
    rows = [["id", "lesson", "task", "criterion", "points", "most", "measured", "asked"]]
    for c in told.criteria:
        rows.append([c.learner, c.lesson, c.cell, c.criterion, f"{c.points:g}", f"{c.most:g}",
                     c.measured, c.asked])  # fmt: skip
    return rows


def _item_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a task: how hard it was, what it tells apart, what went wrong most often."""
    heads = ["lesson", "task", "most", "marked", "mean_share", "full_share", "discrimination"]
    rows = [[*heads, "missed_most", "cause_1", "count_1", "cause_2", "count_2",
             "minutes_median", "laptops"]]
    views = {(view.lesson, view.cell): view for view in told.tasks}
    for one in items(told.counting):
        view = views[one.lesson, one.cell]
        causes = [text for name, _, count in view.causes[:2] for text in (name, str(count))]
        causes += [""] * (4 - len(causes))
        shares = ["" if x is None else f"{x:.3f}" for x in (one.mean, one.full,
                                                            one.discrimination)]  # fmt: skip
        rows.append([one.lesson, one.cell, f"{one.most:g}", str(one.marked), *shares,
                     view.failed[0] if view.failed else "", *causes,
                     *_spent(told, one.cell)])  # fmt: skip
    return rows


def _spent(told: ClassResults, cell: str) -> list[str]:
    """Give the middle of the minutes that laptops in the room spent on a task, and of how many."""
    minutes = told.minutes.get(cell, ())
    return [f"{statistics.median(minutes):.1f}", str(len(minutes))] if minutes else ["", ""]


def _as_csv(rows: Iterable[Sequence[str]]) -> str:
    """Write rows so that every spreadsheet reads them and none takes a name for a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_plain(on_line(cell)) for cell in row])
    return "\ufeff" + out.getvalue()


def _plain(cell: str) -> str:
    try:
        float(cell)
    except ValueError:
        return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
    return cell
