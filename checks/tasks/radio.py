"""Tasks of the lesson `radio`: reading orders safely, obeying, reporting, losing the link."""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim import Recording

from ..driving import still_driven
from ..hearing import Heard, lamps_before, moved, orders, radio, said, told
from ..task import Criterion, Finding, Run, Task, share
from . import radio_mistakes as known
from .radio_scripts import GIVEAWAY, helm_script, lamp_script, lost_script, report_script

__all__ = ["TASKS"]

Recordings = Sequence[Recording]

SOON_S = 0.4
"""How long an order may take to be obeyed."""
STOP_S = 1.0
"""How long a tug may go on once its link is lost."""
LEARN_S = 10.0
"""How long the office may be without knowing that a tug is gone."""
_MOVING = 0.03
"""Speed in m/s above which a tug is under way."""


def _evaluated(recordings: Recordings) -> tuple[int, float] | None:
    """Find where a program ran what had arrived: which trial, and when."""
    for trial, recording in enumerate(recordings):
        for at, line in recording.printed:
            if GIVEAWAY in line:
                return trial, at
    return None


def _counted(hits: Sequence[tuple[bool, int, float, str]], what: str, asked: str) -> Finding:
    """Give a finding for things that were done or not: (done, trial, when, what it was)."""
    done = sum(hit for hit, *_ in hits)
    missed = next(((t, at, name) for hit, t, at, name in hits if not hit), None)
    part = done / len(hits) if hits else 0.0
    words = f"{done} of {len(hits)} {what}"
    if missed is None:
        return Finding(part, words, asked)
    trial, at, name = missed
    return Finding(part, f"{words}; the first that failed: {name}", asked, at, trial)


def _name(heard: Heard) -> str:
    text = heard.payload.decode("utf-8", "replace")
    return f"{text[:50]!r} at {heard.sent:.1f} s"


# -- radio.lamps -------------------------------------------------------------


def _shows(recordings: Recordings) -> Finding:
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is None or heard.order.lamps is None:
                continue
            shown = recording.lamps_at(heard.since + SOON_S)
            hit = heard.at is not None and set(shown) == set(heard.order.lamps)
            hits.append((hit, trial, heard.since, _name(heard)))
    return _counted(hits, "good orders were shown on all five lamps", f"each within {SOON_S:g} s")


def _shown_share(recordings: Recordings) -> float:
    return _shows(recordings).share


def _lamps_unmoved(recordings: Recordings) -> Finding:
    asked = "every bad order is refused whole: no lamp changes, nothing of it is run"
    run = _evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is not None or heard.at is None:
                continue
            same = lamps_before(recording, heard.at) == recording.lamps_at(heard.at + SOON_S)
            lived = recording.ended != "error" or recording.ended_ns / 1e9 > heard.at + 0.4
            hits.append((same and lived, trial, heard.at, _name(heard)))
    found = _counted(hits, "bad orders changed nothing", asked)
    # Who shows nothing cannot be moved by anything.
    part = found.share * _shown_share(recordings)
    return Finding(part, found.measured, asked, found.at, found.trial)


def _stays(recordings: Recordings) -> Finding:
    asked = "it still listens at the end"
    for trial, recording in enumerate(recordings):
        if recording.ended != "time is up":
            words = f"the program ended at {recording.ended_ns / 1e9:.1f} s ({recording.ended})"
            return Finding(0.0, words, asked, recording.ended_ns / 1e9, trial)
    return Finding(_shown_share(recordings), "it ran to the end of the trial", asked)


LAMPS = Task(
    id="radio.lamps",
    title="Read orders safely",
    program="orders.py",
    runs=(
        Run(seconds=14.5, air=lamp_script(1)),
        Run(seconds=10.0, seed=5, air=lamp_script(2, few=5)),
    ),
    criteria=(
        Criterion("It shows what good orders ask", 4.0, _shows, essential=True),
        Criterion("It refuses bad orders", 4.0, _lamps_unmoved),
        Criterion("It goes on listening", 2.0, _stays),
    ),
    mistakes=known.LAMPS,
)


# -- radio.helm --------------------------------------------------------------


def _legs(recording: Recording) -> list[tuple[Heard, float, float]]:
    """Give each good order with the time in which it holds: up to its end or the next one."""
    good = [h for h in orders(recording) if h.order is not None and h.order.speed is not None]
    legs = []
    for k, heard in enumerate(good):
        assert heard.order
        end = heard.since + heard.order.seconds
        if k + 1 < len(good):
            end = min(end, good[k + 1].since)
        legs.append((heard, heard.since, end))
    return legs


def _obeys(recordings: Recordings) -> Finding:
    hits = []
    for trial, recording in enumerate(recordings):
        for heard, begin, end in _legs(recording):
            assert heard.order and heard.order.speed is not None
            if heard.order.speed:
                went = moved(recording, begin + SOON_S, end) * math.copysign(1, heard.order.speed)
                hit = went > _MOVING * (end - begin - SOON_S)
                hits.append((hit, trial, begin, _name(heard)))
    return _counted(hits, "orders to move were obeyed", f"each within {SOON_S:g} s, the right way")


def _speeds(recordings: Recordings) -> Finding:
    parts, worst = [], (0.0, 0, 0.0, "no order was sent")
    for trial, recording in enumerate(recordings):
        for heard, begin, end in _legs(recording):
            assert heard.order and heard.order.speed is not None
            if not heard.order.speed:
                continue
            speed = moved(recording, begin + SOON_S, end) / (end - begin - SOON_S)
            off = abs(speed / heard.order.speed - 1)
            parts.append(share(off, full=0.10, none=0.50))
            if off >= worst[0]:
                worst = (off, trial, begin, f"{speed:.2f} m/s for {_name(heard)}")
    got = sum(parts) / len(parts) if parts else 0.0
    return Finding(got, f"the worst: {worst[3]}", "each within 10 %", worst[2], worst[1])


def _bend(recording: Recording, begin: float, end: float) -> float:
    """Give the curvature of the way from one time to another, in 1/m, to port positive."""
    turned = recording.at("heading", end) - recording.at("heading", begin)
    went = moved(recording, begin, end)
    return turned / went if abs(went) > 0.02 else 0.0


def _radii(recordings: Recordings) -> Finding:
    parts, worst = [], (-1.0, 0, 0.0, "no order was sent")
    for trial, recording in enumerate(recordings):
        for heard, begin, end in _legs(recording):
            assert heard.order and heard.order.speed is not None
            if not heard.order.speed:
                continue
            asked = 1 / heard.order.radius if heard.order.radius else 0.0
            bend = _bend(recording, begin + SOON_S, end)
            off = abs(bend - asked)
            went = abs(moved(recording, begin + SOON_S, end)) > _MOVING
            full = 0.6 if not asked else 0.15 * abs(asked)
            part = share(off, full=full, none=4 * full) if went else 0.0
            parts.append(part)
            if 1 - part > worst[0]:
                radius = f"radius {1 / bend:.2f} m" if abs(bend) > 0.1 else "straight"
                worst = (1 - part, trial, begin, f"{radius} for {_name(heard)}")
    got = sum(parts) / len(parts) if parts else 0.0
    asked_words = "each within 15 %; straight: a radius of more than 1.6 m"
    return Finding(got, f"the worst: {worst[3]}", asked_words, worst[2], worst[1])


def _ends(recordings: Recordings) -> Finding:
    """Stands soon after each order's time, and at the end, with its motors off."""
    hits = []
    for trial, recording in enumerate(recordings):
        legs = _legs(recording)
        for k, (heard, begin, end) in enumerate(legs):
            after = legs[k + 1][1] if k + 1 < len(legs) else recording.seconds
            if after - end < SOON_S + 0.2:
                continue
            began = moved(recording, begin, end) if heard.order and heard.order.speed else 1.0
            still = abs(moved(recording, end + SOON_S, min(after, end + SOON_S + 1))) < 0.005
            hits.append((still and abs(began) > 0.01, trial, end, _name(heard)))
        off = not still_driven(recording) and abs(moved(recording, 24.6, recording.seconds)) < 0.01
        went = abs(moved(recording, 23.0, 24.0)) > 0.01
        hits.append((off and went, trial, recording.seconds, "motors off at the end"))
    return _counted(hits, "times it stopped as asked", f"within {SOON_S:g} s of an order's end")


def _helm_refuses(recordings: Recordings) -> Finding:
    asked = "every bad order is refused whole: nothing moves, nothing of it is run"
    run = _evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        alive = recording.ended_ns / 1e9
        for heard in orders(recording):
            if heard.order is None:
                still = abs(moved(recording, heard.since, heard.since + 0.69)) < 0.005
                hits.append((still and alive > heard.since + 0.5, trial, heard.since, _name(heard)))
    found = _counted(hits, "bad orders moved nothing", asked)
    part = found.share * _obeys(recordings).share
    return Finding(part, found.measured, asked, found.at, found.trial)


HELM = Task(
    id="radio.helm",
    title="Speed and radius by order",
    program="helm.py",
    runs=(
        Run(seconds=26.0, start=(0.30, 0.20, 0.0), air=helm_script(1)),
        Run(seconds=26.0, start=(0.30, 0.60, 0.0), seed=5, air=helm_script(2)),
    ),
    criteria=(
        Criterion("It obeys orders to move", 2.0, _obeys, essential=True),
        Criterion("It keeps the speed", 3.0, _speeds),
        Criterion("It keeps the radius", 3.0, _radii),
        Criterion("It stops when an order's time is over", 2.0, _ends),
        Criterion("It refuses bad orders", 2.0, _helm_refuses),
    ),
    mistakes=known.HELM,
)


# -- radio.report ------------------------------------------------------------


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
            hits.append((len(mine) == 1 and bool(fits[0]), trial, one.since, _name(one)))
    return hits


def _reports_done(recordings: Recordings) -> Finding:
    asked = 'exactly one {"did": "done", "number": ...} for each, with its number'
    return _counted(_answers(recordings, True), "good orders were reported done", asked)


def _reports_refused(recordings: Recordings) -> Finding:
    asked = 'exactly one {"did": "refused", "why": ...} for each, with a reason'
    run = _evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    return _counted(_answers(recordings, False), "bad orders were reported refused", asked)


def _reports_joined(recordings: Recordings) -> Finding:
    asked = 'one {"did": "joined"} before the first order'
    for trial, recording in enumerate(recordings):
        first = orders(recording)[0].sent
        early = [s for s in said(recording) if s.at < first]
        if len(early) != 1 or not early[0].report or early[0].report.did != "joined":
            words = f"{len(early)} reports before the first order"
            if early and early[0].report is None:
                words = f"no report: {early[0].why}"
            return Finding(0.0, words, asked, first, trial)
    return Finding(1.0, "reported joined", asked)


def _at_least_once(recordings: Recordings) -> Finding:
    reports = [s for recording in recordings for s in said(recording)]
    sure = sum(s.qos == 1 for s in reports)
    part = sure / len(reports) if reports else 0.0
    return Finding(part, f"{sure} of {len(reports)} reports at QoS 1", "all at QoS 1")


REPORT = Task(
    id="radio.report",
    title="Report what was done",
    program="report.py",
    runs=(
        Run(seconds=13.0, air=report_script(1, 6)),
        Run(seconds=10.5, seed=5, air=report_script(2, 2)),
    ),
    criteria=(
        Criterion("It reports what it has done", 4.0, _reports_done, essential=True),
        Criterion("It reports what it has refused", 3.0, _reports_refused),
        Criterion("It says that it is there", 1.0, _reports_joined),
        Criterion("Its reports come at least once", 1.0, _at_least_once),
        Criterion("It shows what good orders ask", 2.0, _shows),
    ),
    mistakes=known.REPORT,
)


# -- radio.lost --------------------------------------------------------------


def _under_way(recording: Recording, begin: float, end: float) -> bool:
    return abs(moved(recording, begin, end)) > _MOVING * (end - begin)


def _goes(recordings: Recordings) -> Finding:
    hits = []
    for trial, recording in enumerate(recordings):
        first = orders(recording)[0]
        ahead = moved(recording, first.since + SOON_S, first.since + 2.0)
        hits.append((ahead > 1.5 * _MOVING, trial, first.since, _name(first)))
    return _counted(hits, "first orders set it going", f"within {SOON_S:g} s")


def _stops_when(what: str, detail: str, words: str) -> Criterion:
    """Make the criterion that the tug stops when something of its link is lost."""

    def judge(recordings: Recordings) -> Finding:
        hits = []
        for trial, recording in enumerate(recordings):
            for at, told_detail in radio(recording, what):
                if told_detail != detail or not _under_way(recording, at - 1.0, at):
                    continue
                rest = abs(moved(recording, at + STOP_S, at + STOP_S + 1.0))
                hits.append((rest < 0.003, trial, at, f"lost at {at:.1f} s, {rest:.2f} m farther"))
        return _counted(hits, f"times it stood within {STOP_S:g} s", f"it stops when {words}")

    return Criterion(f"It stops when {words}", 3.0, judge)


def _comes_back(recordings: Recordings) -> Finding:
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording)[1:]:
            if heard.order is None or heard.order.speed is None:
                continue
            begin = heard.since + SOON_S
            end = heard.since + min(heard.order.seconds, 1.5)
            went = moved(recording, begin, end) * math.copysign(1, heard.order.speed)
            hits.append((went > _MOVING * (end - begin), trial, heard.since, _name(heard)))
    return _counted(hits, "orders after a loss were obeyed", "all: it rejoins by itself")


def _says_joined(recordings: Recordings) -> Finding:
    hits = []
    for trial, recording in enumerate(recordings):
        heard = [h for h in orders(recording) if h.order is not None]
        for before, after in zip(
            [0.0, *(h.sent for h in heard)], [h.sent for h in heard], strict=False
        ):
            joined = any(s.report and s.report.did == "joined" and before < s.at < after
                         for s in said(recording))  # fmt: skip
            hits.append((joined, trial, after, f"before {after:.1f} s"))
    return _counted(hits, "times it reported joined", "each time, before the next order")


def _office_learns(recordings: Recordings) -> Finding:
    asked = f"its will comes within {LEARN_S:g} s, with did gone"
    hits = []
    for trial, recording in enumerate(recordings):
        begins = [at for at, detail in radio(recording, "cut") if detail == "begins"]
        for at in begins:
            there = any(s.at < at for s in said(recording)) or any(radio(recording, "connected"))
            wills = [s for s in told(recording) if at < s.at < at + LEARN_S]
            hit = there and any(s.report and s.report.did == "gone" for s in wills)
            hits.append((hit, trial, at, f"the cut at {at:.1f} s"))
    return _counted(hits, "cuts became known to the office", asked)


def _lost_refuses(recordings: Recordings) -> Finding:
    asked = "nothing moves by a bad order, nothing of it is run"
    run = _evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is None:
                still = abs(moved(recording, heard.since, heard.since + 0.69)) < 0.005
                lived = recording.ended_ns / 1e9 > heard.since + 0.5 and heard.at is not None
                hits.append((still and lived, trial, heard.since, _name(heard)))
        off = not still_driven(recording)
        hits.append((off, trial, recording.seconds, "motors off at the end"))
    return _counted(hits, "times nothing moved", asked)


LOST = Task(
    id="radio.lost",
    title="Stop when the link is lost, and rejoin",
    program="safe.py",
    runs=(Run(seconds=50.5, start=(0.30, 0.40, 0.0), air=lost_script(1)),
          Run(seconds=28.0, start=(0.40, 0.40, 0.0), seed=5, air=lost_script(2))),
    criteria=(
        Criterion("It obeys its first order", 1.0, _goes, essential=True),
        _stops_when("lost", "harbour", "the network is lost"),
        _stops_when("broker", "down", "the broker is gone"),
        Criterion("It rejoins and obeys again", 3.0, _comes_back),
        Criterion("It reports each time that it has joined", 1.0, _says_joined),
        Criterion("The office learns that it is gone", 2.0, _office_learns),
        Criterion("It refuses bad orders", 1.0, _lost_refuses),
    ),
    mistakes=known.LOST,
)  # fmt: skip

TASKS: tuple[Task, ...] = (LAMPS, HELM, REPORT, LOST)
