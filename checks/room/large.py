"""Large: the room to be read from its last row: aliases, ready or not, and where each is.

It says nothing that the other page does not, and less: no reasons and no causes, since everybody
reads it.  As large as the window and the number of rows allow, in as few columns as they need.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence

from ..shown import on_page
from .page import READY_SIGNS, SIGNS, heading, refused
from .view import Person, View

__all__ = ["large_page"]

_ROWS = 14
"""So many rows stand in one column before there is another, as long as three are enough."""
_HIGH = 83.0
"""What the rows take of the window's height, in hundredths."""
_LONG = 14
"""An alias of more letters is set smaller."""
_WIDTHS = {1: 4.2, 2: 2.95, 3: 1.9}
"""The largest letters that leave room for the longest alias, in hundredths of the width."""


def large_page(shown: View, now: float, *, state: str = "", ended: bool = False) -> str:
    """Give the page; every text in it goes through `on_page`.

    Args:
        shown: What to show.
        now: The time, in s since 1970.
        state: What is the matter with the screen itself, in words.
        ended: Whether this is its last page, which loads itself no more.
    """
    columns = max(1, min(3, -(-len(shown.people) // _ROWS)))
    rows = max(8, -(-len(shown.people) // columns))
    size = f"min({0.76 * _HIGH / rows:.2f}vh, {_WIDTHS[columns]}vw)"
    clock = time.strftime("%H:%M", time.localtime(now))
    parts = [
        heading("In the room, large", _STYLE + f".rows {{ font-size: {size}; }}"
                f".rows tr {{ height: {_HIGH / rows:.2f}vh; }}", refresh=not ended),
        f"<header><h1>{len(shown.people)} here · {shown.ready[0]} ready</h1>"
        f"{''.join(_lesson(shown, lesson) for lesson in shown.lessons)}<time>{clock}</time>"
        "</header>",
        f"<p class='state' role='status'>{on_page(state)}</p>" if state else "",
        refused(shown), _columns(shown, columns),
        f"<footer>{SIGNS} · “{READY_SIGNS[False][0]}” not ready yet</footer>"
        "</body></html>\n",
    ]  # fmt: skip
    return "\n".join(parts)


def _lesson(shown: View, lesson: str) -> str:
    tasks = " · ".join(map(on_page, shown.lessons[lesson]))
    return f"<p><b>{on_page(lesson)}:</b> {tasks}</p>"


def _columns(shown: View, columns: int) -> str:
    if not shown.people:
        return "<p class='nobody'>Nobody has joined yet.</p>"
    rows = -(-len(shown.people) // columns)
    parts = (shown.people[k * rows : (k + 1) * rows] for k in range(columns))
    several = len(shown.lessons) > 1
    return f"<div class='rows'>{''.join(_table(part, several) for part in parts)}</div>"


def _table(people: Sequence[Person], several: bool) -> str:
    heads = "".join(f"<th scope='col'>{name}</th>" for name in ("who", "ready", "tasks"))
    rows = "".join("".join(_row(person, several)) for person in people)
    return (
        "<table><colgroup><col><col class='ready'><col class='tasks'></colgroup>"
        f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
    )


def _row(person: Person, several: bool) -> Iterable[str]:
    mark, words = READY_SIGNS[person.ready]
    lesson = person.task.partition(".")[0]
    long = " class='long'" if len(person.name) > _LONG else ""
    yield f"<tr><th scope='row'><span{long}>{on_page(person.name)}</span></th>"
    yield f"<td>{mark}<span class='words'> {words}</span></td><td class='marks'>"
    yield f"<small>{on_page(lesson)}</small> " if several and lesson else ""
    yield f"{on_page(person.marks.get(lesson, ''))}</td></tr>"


_STYLE = """
body { font: 2.2vh/1.2 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  margin: 0; padding: 1vh 1.5vw; height: 98vh; box-sizing: border-box; overflow-wrap: anywhere; }
header { display: flex; gap: 2vw; align-items: baseline; height: 6vh; overflow: hidden; }
header time { margin-left: auto; font-size: 4vh; font-variant-numeric: tabular-nums; }
h1 { font-size: 4vh; margin: 0; white-space: nowrap; } p { margin: 0; } header p {
  font-size: 2.6vh; }
.rows { display: flex; gap: 3vw; align-items: flex-start; line-height: 1; }
table { border-collapse: collapse; flex: 1 1 0; table-layout: fixed; width: 0; }
thead th { font-size: 0; } thead tr { border: 0; } .rows thead tr { height: 0; }
th, td { text-align: left; padding: 0; white-space: nowrap; font-weight: 400; overflow: hidden; }
col.ready { width: 1.3em; } col.tasks { width: 6.2em; } .marks { letter-spacing: .08em; }
th span { display: block; overflow: hidden; text-overflow: ellipsis; line-height: 1.15; }
.long { font-size: 72%; line-height: 1.6; }
tr { border-bottom: 1px solid var(--rule); } small { font-size: 50%; letter-spacing: 0; }
.nobody { font-size: 5vh; } footer { color: var(--quiet); font-size: 2.2vh; margin-top: .6vh; }
.state { font-size: 2.6vh; }
"""
