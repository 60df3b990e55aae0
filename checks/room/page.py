"""Page: a room's view as HTML that stands alone, loads nothing and runs nothing."""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence

from ..shown import on_page
from .view import FULL, NONE, PART, UNTRIED, Person, View

__all__ = ["READY_SIGNS", "REFRESH_S", "SIGNS", "heading", "page", "refused"]

REFRESH_S = 5
_FIRST = 12
"""So many visits stand above everyone, the others below: a list of forty helps nobody choose."""
_COLUMN = 20
"""So many rows stand in one column, as long as three are enough."""
READY_SIGNS = {True: (FULL, "ready"), False: ("!", "not ready"), None: ("…", "not known yet")}
"""Whether a laptop is ready: its sign, and what is read out in its place."""
SIGNS = f"{FULL} all points · {PART} some · {NONE} tried, none yet · {UNTRIED} not tried"


def page(shown: View, now: float, *, stuck_s: float, state: str = "", ended: bool = False) -> str:
    """Give the page; every text in it goes through `on_page`.

    Args:
        shown: What to show.
        now: The time, in s since 1970.
        stuck_s: How long until a task counts as stuck, in s; it is told.
        state: What is the matter with the screen itself, in words.
        ended: Whether this is its last page, which loads itself no more.
    """
    parts = [
        heading("In the room", _STYLE, refresh=not ended), _head(shown, now, state),
        refused(shown), _visits(shown, stuck_s), _everyone(shown), _FOOT, "</body></html>\n",
    ]  # fmt: skip
    return "\n".join(parts)


def heading(title: str, style: str, *, refresh: bool) -> str:
    """Begin a page that carries all that it uses, and whose browser is told to fetch nothing."""
    again = f'<meta http-equiv="refresh" content="{REFRESH_S}">' if refresh else ""
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">\n'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
        "style-src 'unsafe-inline'\">\n"
        f"{again}<title>{title}</title><style>{_COLOURS}{style}</style></head><body>"
    )


def refused(shown: View) -> str:
    """Say what was refused, how often and why; nothing where nothing was."""
    if not shown.refused:
        return ""
    told = "; ".join(f"{count} {on_page(why)}" for why, count in shown.refused)
    return f"<p class='state' role='status'>Messages that were refused: {told}.</p>"


def _head(shown: View, now: float, state: str) -> str:
    ready, lacking, unknown = shown.ready
    count = len(shown.people)
    counts = [f"<b>{count}</b> here", f"<b>{ready}</b> ready"]
    counts += [f"<b>{lacking}</b> not ready"] if lacking else []
    counts += [f"<b>{unknown}</b> not known yet"] if unknown else []
    lessons = "".join(
        f"<p><b>{on_page(lesson)}</b>, passed of {count}: "
        + " · ".join(f"{on_page(task)} <b>{number}</b>" for task, number in tasks.items()) + "</p>"
        for lesson, tasks in shown.lessons.items()
    )  # fmt: skip
    held = " · ".join(
        f"<b>{on_page(held.task)}</b> {held.count}"
        + (f" (likeliest: {on_page(held.cause[0])}, {held.cause[1]})" if held.cause else "")
        for held in shown.held
    )
    held = f"<p>Holding up most: {held}</p>" if held else ""
    clock = time.strftime("%H:%M:%S", time.localtime(now))
    said = f"<p class='state' role='status'>{on_page(state)}</p>" if state else ""
    return (
        f"<header><h1>In the room</h1><p>{' · '.join(counts)}</p>"
        f"<time>{clock}</time></header>{said}"
        f"<section class='sums'>{lessons}{held}</section>"
    )


def _visits(shown: View, stuck_s: float) -> str:
    if not shown.visits:
        words = "Nobody is waiting." if shown.people else "Nobody has joined yet."
        return f"<h2>Where to go first</h2><p>{words}</p>"
    return (
        f"<h2>Where to go first <small>{len(shown.visits)}: not ready, at one task for "
        f"{stuck_s / 60:g} minutes, or silent with work left</small></h2>{_list(shown, 0, _FIRST)}"
    )


def _list(shown: View, start: int, end: int) -> str:
    rows = "".join(
        f"<li><b>{on_page(visit.name)}</b> {on_page('; '.join(visit.reasons))}</li>"
        for visit in shown.visits[start:end]
    )
    return f"<ol start='{start + 1}'>{rows}</ol>"


def _everyone(shown: View) -> str:
    if not shown.people:
        return ""
    columns = min(3, -(-len(shown.people) // _COLUMN))
    rows = -(-len(shown.people) // columns)
    lessons = list(shown.lessons)
    parts = (shown.people[k * rows : (k + 1) * rows] for k in range(columns))
    tables = "".join(_table(part, lessons) for part in parts)
    more = len(shown.visits) > _FIRST
    rest = f"<h2>And then</h2>{_list(shown, _FIRST, len(shown.visits))}" if more else ""
    return f"<h2>Everyone</h2><div class='columns'>{tables}</div>{rest}"


def _table(people: Sequence[Person], lessons: Iterable[str]) -> str:
    names = "".join(f"<th scope='col'>{on_page(lesson)}</th>" for lesson in lessons)
    rows = "".join(_row(person) for person in people)
    return (
        "<table><thead><tr><th scope='col'>who</th><th scope='col'>ready</th>"
        f"<th scope='col'>last task</th>{names}<th scope='col'>heard</th></tr></thead>"
        f"<tbody>{rows}</tbody></table>"
    )


def _row(person: Person) -> str:
    mark, words = READY_SIGNS[person.ready]
    marks = "".join(f"<td class='marks'>{on_page(text)}</td>" for text in person.marks.values())
    name = on_page(person.name)
    return (
        f"<tr{' class=visit' if person.visit else ''}><th scope='row'>{name}</th>"
        f"<td title='{words}'>{mark}<span class='words'> {words}</span></td>"
        f"<td>{on_page(person.task) or '–'}</td>{marks}<td>{on_page(person.heard)}</td></tr>"
    )


_FOOT = (
    f"<footer>{SIGNS} · bold: a visit. Under “ready”: ✓ yes · ! no · … not known yet.<br>"
    "Told by learners' own notebooks, to help you choose where to go: no mark rests on it.</footer>"
)

_COLOURS = """
:root { color-scheme: light dark; --ink: #1a1a1a; --quiet: #595959; --rule: #dcdcdc;
  --paper: #fff; --point: #0072b2; }
@media (prefers-color-scheme: dark) { :root { --ink: #ececec; --quiet: #b4b4b4; --rule: #3c3c3c;
  --paper: #161616; --point: #56b4e9; } }
.state { border: 2px solid var(--point); padding: 4px 10px; font-weight: 700; }
.words { position: absolute; clip-path: inset(50%); width: 1px; overflow: hidden; }
"""
_STYLE = """
body { font: 14px/1.35 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  margin: 8px 16px; }
header { display: flex; gap: 1.5em; align-items: baseline; }
header time { margin-left: auto; font-variant-numeric: tabular-nums; }
h1 { font-size: 20px; margin: 0; } p { margin: 2px 0; }
h2 { font-size: 15px; margin: 8px 0 3px; } small, footer { color: var(--quiet); font-weight: 400; }
ol { columns: 2; column-gap: 2em; margin: 0; padding-left: 2em; }
li { break-inside: avoid; overflow-wrap: anywhere; }
.columns { display: flex; gap: 14px; align-items: flex-start; flex-wrap: wrap; }
table { border-collapse: collapse; flex: 1 1 360px; font-size: 13px; line-height: 18px; }
th, td { text-align: left; padding: 0 5px 0 0; white-space: nowrap; }
td, tbody th { border-top: 1px solid var(--rule); font-weight: 400; }
thead th { color: var(--quiet); font-weight: 400; font-size: 12px; }
tbody th { white-space: normal; overflow-wrap: anywhere; min-width: 8.5em; }
.visit th { font-weight: 700; border-left: 4px solid var(--point); padding-left: 4px; }
.marks { letter-spacing: 1px; }
footer { font-size: 12px; margin-top: 8px; }
"""
