"""The page that goes back to a learner: one to three screens, to be read or to be printed."""

from __future__ import annotations

import re

from ..course.programs import program_of
from ..shown import on_page
from ..words import late_by, listed
from .harmless import rendered
from .returned import Part, Returned
from .served import FETCHES_NOTHING

__all__ = ["returned_page"]

_BY_HAND = "No notebook of yours could be marked: your teacher has given the points."
_MOST_TOLD = 3
"""So many things to try next; more would not be tried."""


def returned_page(told: Returned, *, with_scheme: bool = False) -> str:
    """Give the page as HTML that stands alone, runs nothing and fetches nothing.

    Args:
        told: What it tells.
        with_scheme: Whether it also shows how answers in words are marked.
    """
    parts = [
        "<!DOCTYPE html>", '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        FETCHES_NOTHING.format(more=""),
        f"<title>{on_page(told.title)}: feedback</title><style>{_STYLE}</style></head><body>",
        f"<header><h1>{on_page(told.title)}</h1><p>{on_page(told.name)}</p></header><main>",
        _sum(told), _tugs(told), _table(told), *_below(told, with_scheme), "</main></body></html>",
    ]  # fmt: skip
    return "\n".join(parts)


def _below(told: Returned, with_scheme: bool) -> list[str]:
    """Give what stands below the table: of what no notebook was marked, what was said and no more.

    Nothing there would be true of a notebook: no answer is missing in one that was not read.
    """
    if not told.by_hand:
        return [_next(told), *(_part(one, with_scheme) for one in told.parts)]
    return [f"<p>{_BY_HAND}</p>", *(f"<section id='{on_page(part.cell)}'>{_head(part)}{_said(part)}"
                                    "</section>" for part in told.parts)]  # fmt: skip


def _sum(told: Returned) -> str:
    points = sum(part.points for part in told.parts) - told.penalty
    most = sum(part.most for part in told.parts)
    open_points = sum(part.most for part in told.parts if part.waits)
    words = [f"<strong>{points:g} of {most:g} points</strong>"]
    if told.hours_late > 0:
        off = f"{told.penalty:g} points are taken off" if told.penalty else "nothing is taken off"
        words.append(f"handed in {late_by(told.hours_late)} late: {off}")
    if open_points:
        words.append(f"your teacher has still to look at what is worth {open_points:g} points")
    return f"<p class='sum'>{' · '.join(words)}</p>"


def _tugs(told: Returned) -> str:
    """Say where the points that a learner saw may have been others, and what to do about it."""
    if told.tugs is None:
        return ""
    shown, marked = told.tugs
    return (f"<p>The runs in your notebook are of tug {shown}, and it was marked with tug "
            f"{marked}: the points that you saw may have been others. Ask which tug is yours, and "
            "set its number on your home page (the file <code>tug.json</code>).</p>")  # fmt: skip


def _table(told: Returned) -> str:
    rows = "".join(
        f"<tr><td><a href='#{on_page(part.cell)}'>{on_page(part.title)}</a></td>"
        f"<td class='points'>{_points(part)}</td><td>{_mark(part)}</td></tr>"
        for part in told.parts
    )
    return (
        "<table class='tasks'><thead><tr><th scope='col'>task</th><th scope='col'>points</th>"
        f"<th scope='col'>how it stands</th></tr></thead><tbody>{rows}</tbody></table>"
    )


def _points(part: Part) -> str:
    return f"{'–' if part.waits else f'{part.points:g}'} of {part.most:g}"


def _mark(part: Part) -> str:
    if part.waits:
        return "waits for your teacher"
    if part.points >= part.most:
        return "✓ all points"
    return "◐ some points" if part.points else "✗ no points yet"


def _next(told: Returned) -> str:
    """Give what is worth trying first: what lost the most points."""
    lost = [part for part in told.parts if not part.waits and part.points < part.most
            and not _given_for_nothing(part)]  # fmt: skip
    lost.sort(key=lambda part: part.points - part.most)
    if not lost:
        whole = all(part.points >= part.most for part in told.parts)
        words = "All points. At the end of the lesson there is a stretch task." if whole else ""
        return f"<h2>What to try next</h2><p>{words}</p>" if words else ""
    hints: dict[str, list[str]] = {}  # what helps with several tasks stands once
    for part in lost:
        hints.setdefault(_hint(part), []).append(on_page(part.title))
    rows = "".join(f"<li><strong>{listed(titles)}:</strong> {_code(hint)}</li>"
                   for hint, titles in [*hints.items()][:_MOST_TOLD])  # fmt: skip
    return f"<h2>What to try next</h2><ol>{rows}</ol>"


def _hint(part: Part) -> str:
    if part.about.get("cause"):
        return str(part.about["cause"][2])
    rows = [row for row in part.about.get("rows", ()) if row["points"] < row["most"]]
    if rows:
        worst = max(rows, key=lambda row: float(row["most"] - row["points"]))
        return f"{worst['title']}: asked was {worst['asked']}; measured was {worst['measured']}."
    if part.about:
        return "look at the card below."
    if not part.answer[0]:
        return "there is no answer yet; a few sentences of your own are enough to begin."
    said = "read the comment below and " if part.comments else "read the question again and "
    return f"{said}write what is missing."


def _given_for_nothing(part: Part) -> bool:
    """Tell whether a person has given points for what is not in the notebook: told, or on paper."""
    return not (part.about or part.answer[0]) and part.points > 0


def _part(part: Part, with_scheme: bool) -> str:
    """Tell of one task: in full where points were lost, folded where none were."""
    whole = [f"<section id='{on_page(part.cell)}'>{_head(part)}"]
    if _replaced(part):
        whole.append(f"<p>The check found {part.found:g}; your teacher has given the points.</p>")
    whole.append(_said(part))
    whole.append(_checked(part) if part.about else _answered(part, with_scheme))
    return "".join(whole) + "</section>"


def _head(part: Part) -> str:
    return f"<h2>{on_page(part.title)} <small>{_points(part)} points</small></h2>"


def _said(part: Part) -> str:
    """Give what a person has said of one task."""
    said = [("Why these points", part.why)] if part.why else []
    said += [("Your teacher", words) for words in part.comments]
    return "".join(f"<blockquote class='said'><strong>{who}:</strong> {on_page(words)}"
                   "</blockquote>" for who, words in said)  # fmt: skip


def _replaced(part: Part) -> bool:
    """Tell whether a person's points stand in the place of what a check found."""
    return part.found is not None and part.found != part.points


def _checked(part: Part) -> str:
    if "fault" in part.about:
        what = on_page(part.about["fault"][0])
        return f"<p>The check could not be run, so your teacher has to look. {what}</p>"
    card = f"{part.about['card']}{part.evidence}"
    if part.points >= part.most or _replaced(part):
        name = "What the check found, which counts no more" if _replaced(part) else "The card"
        card = f"<details><summary>{name}</summary>{card}</details>"
    if part.replay:
        card += (f"<p class='screen'><a href='{on_page(part.replay)}'>See it happen: the replay"
                 "</a> (a file that lies beside this page)</p>")  # fmt: skip
    return card + _program(part.program)


def _program(source: str) -> str:
    found = program_of(source)
    if found is None:
        return ""
    return (f"<details><summary>Your program {on_page(found[0])}, as it was marked</summary>"
            f"<pre>{on_page(found[1])}</pre></details>")  # fmt: skip


def _answered(part: Part, with_scheme: bool) -> str:
    text, pictures = part.answer
    nothing = ("Your teacher has given the points for what is not in this notebook."
               if _given_for_nothing(part) else "Nothing was written here.")  # fmt: skip
    shown = rendered(text, pictures) if text else f"<p>{nothing}</p>"
    told = ""
    if part.question:
        told = f"<details><summary>The question</summary>{rendered(part.question)}</details>"
    told += f"<div class='answer'>{shown}</div>"
    if with_scheme and part.scheme:
        told += f"<div class='scheme'><h3>How it is marked</h3>{rendered(part.scheme)}</div>"
    return told


def _code(text: str) -> str:
    """Give a text for a page; what stands between backticks is set as code."""
    return re.sub(r"`([^`]*)`", r"<code>\1</code>", on_page(text))


_STYLE = """
:root { color-scheme: light dark; --paper: #fff; --ink: #1a1a1a; --quiet: #555; --line: #bbb;
  --soft: #f2f5f8; --link: #00558a; --jp-ui-font-color1: var(--ink);
  --jp-border-color1: var(--line); --jp-border-color2: var(--line); }
@media (prefers-color-scheme: dark) { :root { --paper: #16191d; --ink: #e8e8e8; --quiet: #aeb4ba;
  --line: #5a6068; --soft: #22272d; --link: #8cc8f2; } }
body { font: 16px/1.45 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  max-width: 56em; margin: 1.2em auto; padding: 0 1em; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; align-items: baseline;
  gap: 0 2em; } header p { margin: 0; color: var(--quiet); }
h1 { font-size: 1.5em; margin: 0; } h2 { font-size: 1.15em; margin: 1.2em 0 .4em; }
h3 { font-size: 1em; margin: .6em 0 .2em; }
small { color: var(--quiet); font-weight: normal; } a { color: var(--link); }
.sum { font-size: 1.1em; } table { border-collapse: collapse; }
.tasks th, .tasks td { text-align: left; padding: 3px 1.6em 3px 0;
  border-bottom: 1px solid var(--line); } .tasks th { font-weight: normal; color: var(--quiet); }
.points { white-space: nowrap; } ol { margin: .3em 0; padding-left: 1.4em; }
section { border-top: 1px solid var(--line); margin-top: 1em; }
section img { max-height: 20em; max-width: 100%; width: auto; background: #fff; }
.said, .answer { margin: .6em 0; padding: .3em 1em; border-left: 4px solid var(--link); }
.said { white-space: pre-line; background: var(--soft); } .answer { border-color: var(--line); }
.answer h1, .answer h2, .answer h3 { font-size: 1em; } .anchor-link { display: none; }
.scheme { background: var(--soft); padding: .2em 1em; } details { margin: .5em 0; }
summary { cursor: pointer; color: var(--link); } .answer, li, td { overflow-wrap: anywhere; }
pre { background: var(--soft); padding: .6em 1em; overflow: auto; font-size: .85em; }
@media print { :root { color-scheme: light; --paper: #fff; --ink: #000; --quiet: #333;
  --line: #888; --soft: #fff; --link: #000; } body { font-size: 11pt; margin: 0; max-width: none; }
  .screen, details:not([open]) { display: none; } a { text-decoration: none; }
  h2 { break-after: avoid; } tr, blockquote, img { break-inside: avoid; } }
"""
