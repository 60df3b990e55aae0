"""Report: one page on a class that stands alone, and its scores as CSV."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from ..course.classroom import write_whole
from ..course.grader import Score
from ..shown import on_line, on_page
from .class_results import ClassResults, Person, TaskView, read_results
from .served import FETCHES_NOTHING

__all__ = ["page", "report", "score_rows"]

_KINDS = {
    "by hand": "To be marked by hand", "error": "Programs that stopped with an error",
    "near miss": "Near misses", "put in order": "Put in order",
    "alike": "Nearly the same program",
}  # fmt: skip
_BINS = 5


def report(course: Path, *, anonymous: bool = False) -> list[Path]:
    """Write the report on a class: a page and two CSV files.

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
    }
    for name, text in files.items():
        write_whole(folder / name, text.encode("utf-8"))
    return [folder / name for name in files]


# -- CSV -------------------------------------------------------------------------


def score_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a learner: points of each lesson, what was taken off for lateness, the sum.

    The last column has the points that a person has still to give, at most: they count 0 so far.
    """
    most = [sum(m for _, m in _cells(told, lesson)) for lesson in told.lessons]
    heads = [f"{lesson} (of {m:g})" for lesson, m in zip(told.lessons, most, strict=True)]
    rows = [["id", "last_name", "first_name", "email", *heads, "late", "total", "to_mark"]]
    for person in told.people:
        points = [_points(told, person.id, lesson) for lesson in told.lessons]
        late = sum(
            told.penalties.get((person.id, lesson), (0.0, 0.0))[0] for lesson in told.lessons
        )
        total = sum(p for p in points if p is not None) - late
        shown = ["" if p is None else f"{p:g}" for p in points]
        rows.append([person.id, person.last_name, person.first_name, person.email, *shown,
                     f"{late:g}", f"{total:g}", f"{_to_mark(told, person.id):g}"])  # fmt: skip
    return rows


def _to_mark(told: ClassResults, learner: str) -> float:
    """Give the most that a learner's answers can still earn that wait for a person."""
    return sum(s.most for s in told.scores if s.learner == learner and s.by_hand)


def _task_rows(told: ClassResults) -> list[list[str]]:
    """Give one row a learner and task, for whoever wants to look closer."""
    rows = [["id", "lesson", "task", "points", "most", "state"]]
    for s in told.scores:
        state = "by hand" if s.by_hand else "marked" if s.handed_in else "not handed in"
        points = f"{s.points:g}" if s.handed_in and not s.by_hand else ""
        rows.append([s.learner, s.lesson, s.cell, points, f"{s.most:g}", state])
    return rows


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


# -- the page --------------------------------------------------------------------


def page(told: ClassResults) -> str:
    """Give the report as HTML that stands alone; every text in it is escaped."""
    parts = [
        "<!DOCTYPE html>", '<html lang="en"><head><meta charset="utf-8">',
        FETCHES_NOTHING.format(more=""),
        f"<title>{on_page(told.title)}: report</title><style>{_STYLE}</style></head><body><main>",
        f"<h1>{on_page(told.title)}</h1>", _summary(told), "<h2>Who has handed in what</h2>",
        _matrix(told), "<h2>Task by task</h2>", *(_task(view) for view in told.tasks),
        "<h2>What deserves a look</h2>", *_looks(told), "<h2>How it was marked</h2>",
        _how(told), "</main></body></html>",
    ]  # fmt: skip
    return "\n".join(parts)


def _summary(told: ClassResults) -> str:
    handed = {(s.learner, s.lesson) for s in told.scores if s.handed_in} | set(told.faults)
    waiting = sum(s.by_hand for s in told.scores)
    words = [
        f"{len(told.people)} learners", f"{len(told.lessons)} lessons",
        f"{len(handed)} submissions", f"{len(told.faults)} that could not be read",
        f"{waiting} answers to be marked by hand",
    ]  # fmt: skip
    return f"<p>{' · '.join(words)}</p>"


def _matrix(told: ClassResults) -> str:
    most = {lesson: sum(m for _, m in _cells(told, lesson)) for lesson in told.lessons}
    heads = "".join(f"<th scope='col'>{on_page(n)}<br><small>of {m:g}</small></th>"
                    for n, m in most.items())  # fmt: skip
    rows = [_row(told, person, most) for person in told.people]
    return (
        f"<table><thead><tr><th scope='col'>learner</th>{heads}<th scope='col'>total</th></tr>"
        f"</thead><tbody>{''.join(rows)}</tbody></table><p class='key'>bar: share of the points · "
        "– not handed in · ✎ something waits to be marked by hand · ! could not be read · "
        "late: points taken off</p>"
    )


def _row(told: ClassResults, person: Person, most: dict[str, float]) -> str:
    cells, total = [], 0.0
    for lesson, full in most.items():
        points = _points(told, person.id, lesson)
        off, hours = told.penalties.get((person.id, lesson), (0.0, 0.0))
        total += (points or 0.0) - off
        if (person.id, lesson) in told.faults:
            shown = "!" if points is None else f"{points:g} !"
        elif points is None:
            shown = "–"
        else:
            waits = any(s.by_hand for s in told.scores
                        if (s.learner, s.lesson) == (person.id, lesson))  # fmt: skip
            late = f"<small> late {hours:.0f} h{f', −{off:g}' if off else ''}</small>"
            shown = f"{points:g}{' ✎' if waits else ''}{late if hours else ''}"
        share = 100 * (points or 0.0) / full if full else 0.0
        cells.append(f"<td>{_bar(share)}<span>{shown}</span></td>")
    name = on_page(person.name) + (f" <small>{on_page(person.id)}</small>"
                                  if person.name != person.id else "")  # fmt: skip
    return f"<tr><th scope='row'>{name}</th>{''.join(cells)}<td><b>{total:g}</b></td></tr>"


def _task(view: TaskView) -> str:
    """Tell how the class did in one cell."""
    count = len(view.shares)
    title, cell = on_page(view.title), on_page(view.cell)
    head = f"<h3>{title} <small>{cell}, {view.most:g} points</small></h3>"
    if not count:
        return head + "<p>Nobody's is marked yet.</p>"
    mean = sum(view.shares) / count
    full = sum(share >= 1.0 for share in view.shares)
    lines = [f"{count} marked · mean {100 * mean:.0f} % · {full} with all points"]
    if view.failed:
        lines.append(f"Most often missed: <b>{on_page(view.failed[0])}</b> ({view.failed[1]})")
    if view.cause:
        name, hint, number = view.cause
        lines.append(f"Likeliest misconception: <b>{on_page(name)}</b> ({number}). {on_page(hint)}")
    return f"<section>{head}{_histogram(view.shares)}<p>{'<br>'.join(lines)}</p></section>"


def _histogram(shares: Sequence[float]) -> str:
    """Draw how many earned how much, in fifths; full marks stand by themselves."""
    bins = Counter(_BINS if share >= 1.0 else int(share * _BINS) for share in shares)
    most = max(bins.values())
    names = [f"{100 * k // _BINS}–{100 * (k + 1) // _BINS} %" for k in range(_BINS)] + ["all"]
    words = ", ".join(f"{bins[k]} {names[k]}" for k in range(_BINS + 1) if bins[k])
    bars = []
    for k, name in enumerate(names):
        tall = 36 * bins[k] / most
        bars.append(
            f"<rect x='{52 * k + 8}' y='{50 - tall:.1f}' width='36' height='{tall:.1f}'/>"
            f"<text x='{52 * k + 26}' y='{46 - tall:.1f}'>{bins[k] or ''}</text>"
            f"<text x='{52 * k + 26}' y='62'>{name}</text>"
        )
    return (
        f"<svg viewBox='0 0 312 66' width='312' role='img' aria-label='{on_page(words)}'>"
        f"{''.join(bars)}<line x1='0' y1='50' x2='312' y2='50'/></svg>"
    )


def _looks(told: ClassResults) -> list[str]:
    names = {person.id: person.name for person in told.people}
    parts = []
    for kind, title in _KINDS.items():
        own = [look for look in told.looks if look.kind == kind]
        if own:
            rows = []
            for look in own:
                others = ", ".join(names.get(other, other) for other in look.others)
                words = look.words.replace("{others}", others)
                where = f"{look.lesson}{f', {look.cell}' if look.cell else ''}"
                rows.append(f"<li><b>{on_page(names.get(look.learner, look.learner))}</b>, "
                            f"{on_page(where)}: {on_page(words)}</li>")  # fmt: skip
            parts.append(f"<h3>{title} ({len(own)})</h3><ul>{''.join(rows)}</ul>")
    return parts or ["<p>Nothing.</p>"]


def _how(told: ClassResults) -> str:
    if not told.protections:
        return "<p>Nothing is marked yet.</p>"
    rows = "".join(
        f"<tr><th scope='row'>{on_page(name)}</th><td>{'on' if on else 'off'}</td>"
        f"<td>{on_page(by)}</td></tr>"
        for name, on, by in told.protections
    )
    return (
        "<p>No cell of a learner's notebook was run. The programs ran on the simulated board, in a "
        f"process that was kept in by:</p><table><tbody>{rows}</tbody></table>"
    )


def _cells(told: ClassResults, lesson: str) -> list[tuple[str, float]]:
    return list(dict.fromkeys((s.cell, s.most) for s in told.scores if s.lesson == lesson))


def _points(told: ClassResults, learner: str, lesson: str) -> float | None:
    """Give a learner's points in a lesson; None if it was not handed in."""
    own: list[Score] = [s for s in told.scores
                        if (s.learner, s.lesson) == (learner, lesson) and s.handed_in]  # fmt: skip
    return sum(s.points for s in own) if own else None


def _bar(share: float) -> str:
    return f"<i class='bar' style='width:{min(share, 100):.0f}%'></i>"


_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #1a1a1a; margin: 0; }
main { max-width: 68em; margin: 2em auto; padding: 0 1.2em; }
h1 { font-size: 1.5em; } h2 { font-size: 1.2em; margin-top: 2em; border-bottom: 1px solid #bbb; }
h3 { font-size: 1em; margin: 1.2em 0 .3em; } small { color: #555; font-weight: normal; }
table { border-collapse: collapse; } th, td { text-align: left; padding: 3px 12px 3px 6px; }
td { position: relative; min-width: 4.5em; border-top: 1px solid #ddd; }
th[scope=row] { font-weight: normal; border-top: 1px solid #ddd; }
td span { position: relative; }
.bar { position: absolute; left: 0; bottom: 2px; height: 4px; background: #0072b2; max-width: 92%; }
.key { color: #555; font-size: .9em; } section { break-inside: avoid; }
svg rect { fill: #56b4e9; } svg line { stroke: #555; }
svg text { font-size: 9px; text-anchor: middle; fill: #1a1a1a; }
li { margin: .25em 0; overflow-wrap: anywhere; }
"""
