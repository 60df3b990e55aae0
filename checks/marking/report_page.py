"""The report's page: what a person reads in five minutes, and folded below it what it rests on."""

from __future__ import annotations

import re
import statistics
from collections import Counter
from collections.abc import Sequence

from ..shown import on_page
from ..words import counted, late_by
from .class_results import ClassResults, Person, TaskView
from .items import Item, items
from .served import FETCHES_NOTHING

__all__ = ["page", "points_of", "worth"]

_KINDS = {
    "unread": "Could not be read or marked", "by hand": "Checks that could not be run",
    "error": "Programs that stopped with an error, or were stopped",
    "near miss": "Near misses", "other tug": "Tried with another tug than the roster's",
    "put in order": "Put in order",
    "alike": "Nearly the same program",
}  # fmt: skip
_BINS = 5
_HARDEST = 3
_LITTLE = 0.4
"""Who has a smaller share than this of what is marked may need help; invented."""
_FLAT = 0.2
"""A task that tells less apart than this is worth a look, see `items`."""


def page(told: ClassResults) -> str:
    """Give the report as HTML that stands alone; every text in it is escaped."""
    parts = [
        "<!DOCTYPE html>", '<html lang="en"><head><meta charset="utf-8">',
        FETCHES_NOTHING.format(more=""),
        f"<title>{on_page(told.title)}: report</title><style>{_STYLE}</style></head><body><main>",
        f"<h1>{on_page(told.title)}</h1>", _summary(told), *_first(told),
        "<h2>Who has handed in what</h2>", _matrix(told), "<h2>Details</h2>",
        _folded("Task by task", "".join(_task(view, one, told.minutes.get(view.cell, ()))
                                         for view, one in _views(told))),
        *_looks(told), _folded("How it was marked", _how(told)), "</main></body></html>",
    ]  # fmt: skip
    return "\n".join(parts)


def _summary(told: ClassResults) -> str:
    handed = {(s.learner, s.lesson) for s in told.scores if s.handed_in} - told.never_came
    handed |= {*told.faults, *told.waiting.files}
    answers, others = _waiting(told)
    words = [
        counted(len(told.people), "learner"), counted(len(told.lessons), "lesson"),
        counted(len(handed), "submission"), f"{len(told.faults)} of them not read or marked",
        f"{counted(sum(answers.values()), 'answer')} to be marked by hand",
    ]  # fmt: skip
    if others:
        words.append(f"{counted(sum(others.values()), 'other task')} to be marked by hand")
    return f"<p>{' · '.join(words)}</p>"


def _waiting(told: ClassResults) -> tuple[Counter[str], Counter[str]]:
    """Count what waits in each lesson: answers that can be read, and what has none to read.

    Where another file waits for marking, nobody has to look at what was marked before it came.
    """
    in_words = {view.cell for view in told.tasks if view.in_words}
    closed = told.never_came | {*told.faults}
    answers, others = Counter[str](), Counter[str]()
    for s in told.counting:
        if s.by_hand and (s.learner, s.lesson) not in told.waiting.files:
            readable = s.cell in in_words and (s.learner, s.lesson) not in closed
            (answers if readable else others)[s.lesson] += 1
    return answers, others


def _per_lesson(counts: Counter[str]) -> str:
    return ", ".join(f"{on_page(lesson)} {count}" for lesson, count in counts.items())


def _first(told: ClassResults) -> list[str]:
    """Give what is worth a person's time first."""
    rows = []
    if told.faults:
        words = "; ".join(f"{on_page(told.called.get(who, who))}, {on_page(what)}"
                          for who, what in told.faults)  # fmt: skip
        rows.append(f"<b>{_KINDS['unread']}:</b> {words}; why is told below.")
    if told.strangers:
        words = ", ".join(on_page(name) for name in told.strangers)
        rows.append(f"<b>Not in the roster</b>, and counted nowhere: {words}.")
    if told.uncounted:
        words = "; ".join(f"{on_page(told.called[who])}, {on_page(what)} ({points:g} points)"
                          for (who, what), points in told.uncounted.items())  # fmt: skip
        rows.append(f"<b>Handed in though not asked</b>, and counted nowhere: {words}.")
    if told.waiting.files:
        earlier = len(told.waiting.another)
        words = f"; where another file was marked before ({earlier}), ↻ stands beside its points"
        rows.append("<b>Collected and not marked yet:</b> "
                    f"{counted(len(told.waiting.files), 'submission')}{words if earlier else ''}; "
                    "give <i>mark</i> once more.")  # fmt: skip
    if told.waiting.changed:
        rows.append(f"<b>Not up to date:</b> {_code(told.waiting.told_of_changes)}.")
    answers, others = _waiting(told)
    if answers:
        rows.append(f"<b>Answers to be marked by hand:</b> {_per_lesson(answers)}; in the form "
                    "grader, or read them in a row on <i>answers.html</i> and give points by "
                    "<i>appeal</i>.")
    if others:
        rows.append(f"<b>Other tasks that wait for points:</b> {_per_lesson(others)}; they could "
                    "not be checked, or never came: <i>appeal</i> gives them points.")
    for title, people in (("Nothing handed in yet", _nothing(told)),
                          (f"Less than {100 * _LITTLE:.0f} % of what is marked",
                           _little(told))):  # fmt: skip
        if people:
            names = ", ".join(on_page(told.called[person.id]) for person in people)
            rows.append(f"<b>{title}</b> ({len(people)}): {names}.")
    # Of answers a person may have marked the best few first; a check has had all that it could.
    open_cells = {s.cell for s in told.counting if s.by_hand}
    views = [(view, one) for view, one in _views(told) if one.mean is not None and one.mean < 1
             and not (view.in_words and view.cell in open_cells)]  # fmt: skip
    views.sort(key=lambda pair: pair[1].mean or 0.0)
    rows += [_hard(view, one) for view, one in views[:_HARDEST]]
    flat = [on_page(view.title) for view, one in _views(told)
            if one.discrimination is not None and one.discrimination < _FLAT]  # fmt: skip
    if flat:
        rows.append(f"<b>Tell little apart</b> who does well elsewhere: {', '.join(flat)}.")
    if not rows:
        return []
    return ["<h2>First</h2><ul class='first'>", *(f"<li>{row}</li>" for row in rows), "</ul>"]


def _views(told: ClassResults) -> list[tuple[TaskView, Item]]:
    by_name = {(one.lesson, one.cell): one for one in items(told.counting)}
    return [(view, by_name[view.lesson, view.cell]) for view in told.tasks]


def _nothing(told: ClassResults) -> list[Person]:
    handed = {s.learner for s in told.scores
              if s.handed_in and (s.learner, s.lesson) not in told.never_came}
    handed |= {who for who, _ in (*told.faults, *told.waiting.files)}
    return [person for person in told.people if person.id not in handed
            and any((person.id, lesson) not in told.excused for lesson in told.lessons)]


def _little(told: ClassResults) -> list[Person]:
    had: Counter[str] = Counter()
    most: Counter[str] = Counter()
    for s in told.counting:
        if s.handed_in and not s.by_hand:
            had[s.learner] += s.points  # type: ignore[assignment]
            most[s.learner] += s.most  # type: ignore[assignment]
    return [p for p in told.people if most[p.id] and had[p.id] < _LITTLE * most[p.id]]


def _hard(view: TaskView, one: Item) -> str:
    words = f"<b>Hard: {on_page(view.title)}</b> ({on_page(view.lesson)}), "
    words += f"{100 * (one.mean or 0.0):.0f} % of the points"
    if view.causes:
        name, hint, count = view.causes[0]
        often = "most often" if [number for _, _, number in view.causes].count(count) == 1 else (
            "among others")  # fmt: skip
        words += f"; {often} ({count}): {on_page(name)}. {on_page(_begun(hint))}"
    elif view.failed:
        words += f"; most often missed ({view.failed[1]}): {on_page(view.failed[0])}"
    return words


def _code(text: str) -> str:
    """Give a text for a page; what stands between backticks is set in italics."""
    return re.sub(r"`([^`]*)`", r"<i>\1</i>", on_page(text))


def _begun(hint: str) -> str:
    """Give a hint as a sentence of its own."""
    return hint[:1].upper() + hint[1:]


def _folded(title: str, inner: str) -> str:
    return f"<details><summary>{title}</summary>{inner}</details>"


def _matrix(told: ClassResults) -> str:
    most = {lesson: worth(told, lesson) for lesson in told.lessons}
    heads = "".join(f"<th scope='col'>{on_page(n)}<br><small>of {m:g}</small></th>"
                    for n, m in most.items())  # fmt: skip
    rows = [_row(told, person, most) for person in told.people]
    return (
        f"<div class='wide'><table><thead><tr><th scope='col'>learner</th>{heads}"
        f"<th scope='col'>total</th></tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
        "<p class='key'>bar: share of the points · "
        "– not handed in · excused: counts neither way · "
        "✎ something waits to be marked by hand · ! could not be read or marked · "
        "↻ a file waits for mark; points are an earlier one's · "
        "late: with the points that are taken off</p>"
    )


def _row(told: ClassResults, person: Person, most: dict[str, float]) -> str:
    cells, total = [], 0.0
    for lesson, full in most.items():
        if (person.id, lesson) in told.excused:
            cells.append("<td>excused</td>")
            continue
        points = points_of(told, person.id, lesson)
        off, hours = told.penalties.get((person.id, lesson), (0.0, 0.0))
        total += (points or 0.0) - off
        if (person.id, lesson) in told.faults:
            shown = "!" if points is None else f"{points:g} !"
        elif (person.id, lesson) in told.waiting.files:
            shown = "↻" if points is None else f"{points:g} ↻"
        elif points is None:
            shown = "–"
        else:
            waits = any(s.by_hand for s in told.by_submission.get((person.id, lesson), ()))
            late = f"<small> {late_by(hours)} late{f', −{off:g}' if off else ''}</small>"
            shown = f"{points:g}{' ✎' if waits else ''}{late if hours else ''}"
        share = 100 * (points or 0.0) / full if full else 0.0
        cells.append(f"<td>{_bar(share)}<span>{shown}</span></td>")
    name = on_page(person.name) + (f" <small>{on_page(person.id)}</small>"
                                  if person.name != person.id else "")  # fmt: skip
    return f"<tr><th scope='row'>{name}</th>{''.join(cells)}<td><b>{total:g}</b></td></tr>"


def _task(view: TaskView, one: Item, minutes: Sequence[float] = ()) -> str:
    """Tell how the class did in one cell."""
    count = len(view.shares)
    title, cell = on_page(view.title), on_page(view.cell)
    head = f"<h3>{title} <small>{cell}, {view.most:g} points</small></h3>"
    if not count:
        return head + "<p>Nobody's is marked yet.</p>"
    lines = [f"{count} marked · mean {100 * (one.mean or 0.0):.0f} % · "
             f"{100 * (one.full or 0.0):.0f} % with all points"]  # fmt: skip
    if one.discrimination is not None:
        lines[0] += f" · tells apart: {one.discrimination:.2f}"
    if minutes:
        lines[0] += (f" · {statistics.median(minutes):.0f} minutes from the first check to the "
                     f"last (median of {counted(len(minutes), 'laptop')} in the room)")  # fmt: skip
    if view.failed:
        lines.append(f"Most often missed: <b>{on_page(view.failed[0])}</b> ({view.failed[1]})")
    for k, (name, hint, number) in enumerate(view.causes):
        lead = "Then" if k else "Likeliest misconception"
        lines.append(f"{lead}: <b>{on_page(name)}</b> ({number}). {on_page(_begun(hint))}")
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
    names, parts = told.called, []
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
            parts.append(_folded(f"{title} ({len(own)})", f"<ul>{''.join(rows)}</ul>"))
    return parts


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


def worth(told: ClassResults, lesson: str) -> float:
    """Give what a lesson's graded cells are worth together."""
    cells = {s.cell: s.most for s in told.scores if s.lesson == lesson}
    return sum(cells.values())


def points_of(told: ClassResults, learner: str, lesson: str) -> float | None:
    """Give a learner's points in a lesson; None if it was not handed in."""
    own = told.by_submission.get((learner, lesson))
    return sum(s.points for s in own) if own else None


def _bar(share: float) -> str:
    return f"<i class='bar' style='width:{min(share, 100):.0f}%'></i>"


_STYLE = """
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #1a1a1a; margin: 0; }
main { max-width: 68em; margin: 2em auto; padding: 0 1.2em; }
h1 { font-size: 1.5em; } h2 { font-size: 1.2em; margin-top: 2em; border-bottom: 1px solid #bbb; }
h3 { font-size: 1em; margin: 1.2em 0 .3em; } small { color: #555; font-weight: normal; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; } th, td { text-align: left; padding: 3px 12px 3px 6px; }
td { position: relative; min-width: 4.5em; border-top: 1px solid #ddd; }
th[scope=row] { font-weight: normal; border-top: 1px solid #ddd; }
td span { position: relative; }
.bar { position: absolute; left: 0; bottom: 2px; height: 4px; background: #0072b2; max-width: 92%; }
.key { color: #555; font-size: .9em; } section { break-inside: avoid; }
svg rect { fill: #56b4e9; } svg line { stroke: #555; }
svg text { font-size: 9px; text-anchor: middle; fill: #1a1a1a; }
summary { cursor: pointer; padding: .2em 0; } .first li { margin: .5em 0; }
li { margin: .25em 0; overflow-wrap: anywhere; }
"""
