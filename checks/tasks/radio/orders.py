"""Judging orders for the lamps, and reports, in the lesson `radio`."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import Recording

from ...readings.radio import Heard, lamps_before, orders, said
from ...task import Finding
from .scripts import GIVEAWAY

__all__ = [
    "SOON_S",
    "at_least_once",
    "counted",
    "evaluated",
    "lamps_unmoved",
    "name_of",
    "reports_done",
    "reports_joined",
    "reports_refused",
    "shows",
    "stays",
]

Recordings = Sequence[Recording]

SOON_S = 0.4
"""How long an order may take to be obeyed."""


def evaluated(recordings: Recordings) -> tuple[int, float] | None:
    """Find where a program ran what had arrived: which trial, and when."""
    for trial, recording in enumerate(recordings):
        for at, line in recording.printed:
            if GIVEAWAY in line:
                return trial, at
    return None


def counted(hits: Sequence[tuple[bool, int, float, str]], what: str, asked: str) -> Finding:
    """Give a finding for things that were done or not: (done, trial, when, what it was)."""
    done = sum(hit for hit, *_ in hits)
    missed = next(((t, at, name) for hit, t, at, name in hits if not hit), None)
    part = done / len(hits) if hits else 0.0
    words = f"{done} of {len(hits)} {what}"
    if missed is None:
        return Finding(part, words, asked)
    trial, at, name = missed
    return Finding(part, f"{words}; the first that failed: {name}", asked, at, trial)


def name_of(heard: Heard) -> str:
    """Give an order's text and time, short enough for a card."""
    text = heard.payload.decode("utf-8", "replace")
    return f"{text[:50]!r} at {heard.sent:.1f} s"


def shows(recordings: Recordings) -> Finding:
    """Every good order's colour is on all lamps in time."""
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is None or heard.order.lamps is None:
                continue
            shown = recording.lamps_at(heard.since + SOON_S)
            hit = heard.at is not None and set(shown) == set(heard.order.lamps)
            hits.append((hit, trial, heard.since, name_of(heard)))
    return counted(hits, "good orders were shown on all five lamps", f"each within {SOON_S:g} s")


def _shown_share(recordings: Recordings) -> float:
    return shows(recordings).share


def lamps_unmoved(recordings: Recordings) -> Finding:
    """No bad order changes a lamp."""
    asked = "every bad order is refused whole: no lamp changes, nothing of it is run"
    run = evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is not None or heard.at is None:
                continue
            same = lamps_before(recording, heard.at) == recording.lamps_at(heard.at + SOON_S)
            lived = recording.ended != "error" or recording.ended_ns / 1e9 > heard.at + 0.4
            hits.append((same and lived, trial, heard.at, name_of(heard)))
    found = counted(hits, "bad orders changed nothing", asked)
    # Who shows nothing cannot be moved by anything.
    part = found.share * _shown_share(recordings)
    return Finding(part, found.measured, asked, found.at, found.trial)


def stays(recordings: Recordings) -> Finding:
    """The program is still there at the end."""
    asked = "it still listens at the end"
    for trial, recording in enumerate(recordings):
        if recording.ended != "time is up":
            words = f"the program ended at {recording.ended_ns / 1e9:.1f} s ({recording.ended})"
            return Finding(0.0, words, asked, recording.ended_ns / 1e9, trial)
    return Finding(_shown_share(recordings), "it ran to the end of the trial", asked)


# -- reports ----------------------------------------------------------------


def _answers(recordings: Recordings, good: bool) -> list[tuple[bool, int, float, str]]:
    hits = []
    for trial, recording in enumerate(recordings):
        heard = orders(recording)
        reports = said(recording)
        for k, one in enumerate(heard):
            until = heard[k + 1].sent if k + 1 < len(heard) else recording.seconds
            mine = [s for s in reports if one.since <= s.at < until]
            if good and one.order is not None:
                fits = [s.report and s.report.did == "done" and s.report.number == one.order.number
                        for s in mine]  # fmt: skip
            elif not good and one.order is None:
                fits = [s.report and s.report.did == "refused" and bool(s.report.why.strip())
                        for s in mine]  # fmt: skip
            else:
                continue
            hits.append((len(mine) == 1 and bool(fits[0]), trial, one.since, name_of(one)))
    return hits


def reports_done(recordings: Recordings) -> Finding:
    """Every good order is reported done, with its number."""
    asked = 'exactly one {"did": "done", "number": ...} for each, with its number'
    return counted(_answers(recordings, True), "good orders were reported done", asked)


def reports_refused(recordings: Recordings) -> Finding:
    """Every bad order is reported refused, with a reason."""
    asked = 'exactly one {"did": "refused", "why": ...} for each, with a reason'
    run = evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    return counted(_answers(recordings, False), "bad orders were reported refused", asked)


def reports_joined(recordings: Recordings) -> Finding:
    """It says that it is there before the first order."""
    asked = 'one {"did": "joined"} before the first order'
    for trial, recording in enumerate(recordings):
        first = min((heard.sent for heard in orders(recording)), default=0.0)
        early = [s for s in said(recording) if s.at < first]
        if len(early) != 1 or not early[0].report or early[0].report.did != "joined":
            words = f"{len(early)} reports before the first order"
            if early and early[0].report is None:
                words = f"no report: {early[0].why}"
            return Finding(0.0, words, asked, first, trial)
    return Finding(1.0, "reported joined", asked)


def at_least_once(recordings: Recordings) -> Finding:
    """Reports go at QoS 1."""
    reports = [s for recording in recordings for s in said(recording)]
    sure = sum(s.qos == 1 for s in reports)
    part = sure / len(reports) if reports else 0.0
    return Finding(part, f"{sure} of {len(reports)} reports at QoS 1", "all at QoS 1")
