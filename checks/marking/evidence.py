"""Evidence: what a mentor sees beside a score, so that it can be believed or doubted.

The card, the picture of the trial in which most was lost, on which tug and table it was, and
whether the learner's own file shows another number, with the reason where it can be told.
"""

from __future__ import annotations

from collections.abc import Iterator

from robotsim.notebook import OWN_SERIAL

from ..shown import on_page
from .client import Result
from .requests import Request
from .store import Store

__all__ = ["difference", "evidence", "lost_trial", "unlike"]

_NOTE = "margin:8px 0;max-width:60em;font-size:90%"


def evidence(store: Store, request: Request, result: Result, seen: str | None) -> str:
    """Give the evidence of one check as HTML; every word of a learner's is escaped.

    Args:
        store: Where pictures are.
        request: What was checked.
        result: What came of it.
        seen: The points that the learner's own file shows, or None.
    """
    about = result.about
    if "fault" in about:
        what, _, hint = about["fault"]
        return (
            f"<p style='{_NOTE}'><strong>This check could not be run; a person has to look."
            f"</strong> {on_page(what)} {on_page(hint)}</p>"
        )
    trials = "; ".join(
        f"tug {serial} on {'a held-out ' if seed > 0 and request.variant else ''}{table}, "
        f"{seconds:g} s: {ended}"
        for table, serial, seed, seconds, ended in about["trials"]
    )
    parts = [about["card"]]
    if trials:
        parts.append(f"<p style='{_NOTE}'>Marked with {on_page(trials)}.</p>")
    told = difference(store, request, result, seen)
    if told:
        parts.append(f"<p style='{_NOTE}'>{on_page(told)}</p>")
    trial = lost_trial(result)
    picture = store.picture(request, trial) if trial is not None else None
    if picture:
        # The form grader draws a red frame round every picture.
        parts.append(picture.replace('style="', 'style="border: 0; ', 1))
    return "".join(parts)


def difference(store: Store, request: Request, result: Result, seen: str | None) -> str | None:
    """Say in a sentence or two why the learner's file shows another number; None if it does not."""
    points = result.about["points"]
    if seen is None or float(seen) == float(points):
        return None
    told = f"The file that was handed in shows {float(seen):g} here; marking found {points}."
    for other in request.as_seen():
        there = store.result(other)
        if there is not None and float(there.about["points"]) == float(seen):
            where, marked = _two_places(request, other)
            return f"{told} {where} this program earns {float(seen):g}; it was marked {marked}."
    return f"{told} The number in the file may come from an earlier version of the program."


def unlike(request: Request, result: Result, seen: str) -> Iterator[Request]:
    """Give what else has to be checked to tell why the learner's own file shows another number.

    Args:
        request: What was checked.
        result: What came of it.
        seen: The points that the learner's file shows, "" for none.
    """
    if seen and float(seen) != float(result.about["points"]) and not result.about["problem"]:
        yield from request.as_seen()


def _two_places(request: Request, other: Request) -> tuple[str, str]:
    """Name where the learner saw a program checked, and where it was marked instead."""
    where, marked = [], []
    if other.serial != request.serial:
        where.append(f"on the usual tug, {OWN_SERIAL}")
        marked.append(f"on the learner's own, {request.serial}")
    if other.variant != request.variant:
        where.append("on the tables of the lesson")
        marked.append(f"on held-out ones, variant {request.variant}")
    return ", and ".join(where).capitalize(), ", and ".join(marked)


def lost_trial(result: Result) -> int | None:
    """Give the trial in which the most expensive criterion was lost; None if none was."""
    rows = [row for row in result.about.get("rows", ()) if row["points"] < row["most"]]
    if not rows or not result.recordings:
        return None
    worst = max(rows, key=lambda row: row["most"] - row["points"])
    return int(min(worst["trial"], len(result.recordings) - 1))
