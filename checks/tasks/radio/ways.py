"""Judging what an order makes the wheels do, and what a lost link does, in the lesson `radio`."""

from __future__ import annotations

import math
from collections.abc import Sequence

from robotsim import Recording

from ...readings.motion import still_driven
from ...readings.radio import Heard, moved, orders, radio, said, stirred, told, wheels
from ...task import Criterion, Finding, share
from .orders import SOON_S, counted, evaluated, name_of

__all__ = [
    "LEARN_S",
    "STOP_S",
    "comes_back",
    "ends",
    "goes",
    "helm_refuses",
    "lost_refuses",
    "obeys",
    "office_learns",
    "ordered",
    "radii",
    "says_joined",
    "speeds",
    "stops_when",
]

Recordings = Sequence[Recording]

STOP_S = 1.0
"""How long a tug may go on once its link is lost."""
LEARN_S = 10.0
"""How long the office may be without knowing that a tug is gone."""
_MOVING = 0.03
"""Speed in m/s above which a tug is under way."""
_ONE_WHEEL = 0.25
"""A wheel that rolls less than this share of the mean of the two does not drive."""


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


def obeys(recordings: Recordings) -> Finding:
    """Every order to move sets the tug going the right way, in time."""
    hits = []
    for trial, recording in enumerate(recordings):
        for heard, begin, end in _legs(recording):
            assert heard.order and heard.order.speed is not None
            if heard.order.speed:
                went = moved(recording, begin + SOON_S, end) * math.copysign(1, heard.order.speed)
                hit = heard.came and went > _MOVING * (end - begin - SOON_S)
                hits.append((hit, trial, begin, name_of(heard)))
    return counted(hits, "orders to move were obeyed", f"each within {SOON_S:g} s, the right way")


def speeds(recordings: Recordings) -> Finding:
    """The speed is the one that was asked for."""
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
                worst = (off, trial, begin, f"{speed:.2f} m/s for {name_of(heard)}")
    got = sum(parts) / len(parts) if parts else 0.0
    return Finding(got, f"the worst: {worst[3]}", "each within 10 %", worst[2], worst[1])


def _bend(recording: Recording, begin: float, end: float) -> float:
    """Give the curvature of the way from one time to another, in 1/m, to port positive."""
    turned = recording.at("heading", end) - recording.at("heading", begin)
    went = moved(recording, begin, end)
    return turned / went if abs(went) > 0.02 else 0.0


def radii(recordings: Recordings) -> Finding:
    """The radius is the one that was asked for."""
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
                worst = (1 - part, trial, begin, f"{radius} for {name_of(heard)}")
    got = sum(parts) / len(parts) if parts else 0.0
    asked_words = "each within 15 %; straight: a radius of more than 1.6 m"
    return Finding(got, f"the worst: {worst[3]}", asked_words, worst[2], worst[1])


def ends(recordings: Recordings) -> Finding:
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
            hits.append((still and abs(began) > 0.01, trial, end, name_of(heard)))
        off = not still_driven(recording) and abs(moved(recording, 24.6, recording.seconds)) < 0.01
        went = abs(moved(recording, 23.0, 24.0)) > 0.01
        hits.append((off and went, trial, recording.seconds, "motors off at the end"))
    return counted(hits, "times it stopped as asked", f"within {SOON_S:g} s of an order's end")


def helm_refuses(recordings: Recordings) -> Finding:
    """No bad order moves the tug."""
    asked = "every bad order is refused whole: nothing moves, nothing of it is run"
    run = evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        alive = recording.ended_ns / 1e9
        for heard in orders(recording):
            if heard.order is None:
                still = stirred(recording, heard.since, heard.since + 0.59) < 0.005
                hits.append(
                    (still and alive > heard.since + 0.5, trial, heard.since, name_of(heard))
                )
    found = counted(hits, "bad orders moved nothing", asked)
    part = found.share * obeys(recordings).share
    return Finding(part, found.measured, asked, found.at, found.trial)


# -- a lost link --------------------------------------------------------------


def _under_way(recording: Recording, begin: float, end: float) -> bool:
    return abs(moved(recording, begin, end)) > _MOVING * (end - begin)


def ordered(recording: Recording, begin: float, end: float, speed: float) -> float:
    """Give how far it went the way that was ordered, in m; 0 if one wheel hardly did."""
    left, right = (far * math.copysign(1, speed) for far in wheels(recording, begin, end))
    mean = (left + right) / 2
    return mean if min(left, right) > _ONE_WHEEL * mean else min(mean, 0.0)


def goes(recordings: Recordings) -> Finding:
    """The first order sets the tug going."""
    hits = []
    for trial, recording in enumerate(recordings):
        for first in orders(recording)[:1]:
            ahead = ordered(recording, first.since + SOON_S, first.since + 2.0, 1.0)
            hit = first.came and ahead > 1.5 * _MOVING
            hits.append((hit, trial, first.since, name_of(first)))
    return counted(hits, "first orders set it going", f"within {SOON_S:g} s")


def stops_when(what: str, detail: str, words: str) -> Criterion:
    """Make the criterion that the tug stops when something of its link is lost."""

    def judge(recordings: Recordings) -> Finding:
        hits = []
        for trial, recording in enumerate(recordings):
            for at, told_detail in radio(recording, what):
                if told_detail != detail:
                    continue
                if not _under_way(recording, at - 0.4, at):  # though its order held
                    hits.append((False, trial, at, f"not under way when lost at {at:.1f} s"))
                    continue
                rest = abs(moved(recording, at + STOP_S, at + STOP_S + 1.0))
                hits.append((rest < 0.003, trial, at, f"lost at {at:.1f} s, {rest:.2f} m farther"))
        return counted(hits, f"times it stood within {STOP_S:g} s", f"it stops when {words}")

    return Criterion(f"It stops when {words}", 3.0, judge)


def comes_back(recordings: Recordings) -> Finding:
    """Every order after a loss is obeyed."""
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording)[1:]:
            if heard.order is None or heard.order.speed is None:
                continue
            begin = heard.since + SOON_S
            end = heard.since + min(heard.order.seconds, 1.5)
            went = ordered(recording, begin, end, heard.order.speed)
            hit = heard.came and went > _MOVING * (end - begin)
            hits.append((hit, trial, heard.since, name_of(heard)))
    return counted(hits, "orders after a loss were obeyed", "all: it rejoins by itself")


def says_joined(recordings: Recordings) -> Finding:
    """It reports joined each time that it has come back."""
    hits = []
    for trial, recording in enumerate(recordings):
        heard = [h for h in orders(recording) if h.order is not None]
        for before, after in zip(
            [0.0, *(h.sent for h in heard)], [h.sent for h in heard], strict=False
        ):
            joined = any(s.report and s.report.did == "joined" and before < s.at < after
                         for s in said(recording))  # fmt: skip
            hits.append((joined, trial, after, f"before {after:.1f} s"))
    return counted(hits, "times it reported joined", "each time, before the next order")


def office_learns(recordings: Recordings) -> Finding:
    """The will comes soon after each cut, and after each loss of the network."""
    asked = f"its will comes within {LEARN_S:g} s, with did gone"
    hits = []
    for trial, recording in enumerate(recordings):
        begins = [(at, "cut") for at, detail in radio(recording, "cut") if detail == "begins"]
        begins += [(at, "loss of the network") for at, _ in radio(recording, "lost")]
        for at, what in sorted(begins):
            there = any(s.at < at for s in said(recording)) or any(radio(recording, "connected"))
            wills = [s for s in told(recording) if at < s.at < at + LEARN_S]
            hit = there and any(s.report and s.report.did == "gone" for s in wills)
            hits.append((hit, trial, at, f"the {what} at {at:.1f} s"))
    return counted(hits, "losses became known to the office", asked)


def lost_refuses(recordings: Recordings) -> Finding:
    """No bad order moves the tug, and it ends with its motors off."""
    asked = "nothing moves by a bad order, nothing of it is run"
    run = evaluated(recordings)
    if run:
        return Finding(0.0, "a message was run as a program", asked, run[1], run[0])
    hits = []
    for trial, recording in enumerate(recordings):
        for heard in orders(recording):
            if heard.order is None:
                still = stirred(recording, heard.since, heard.since + 0.59) < 0.005
                lived = recording.ended_ns / 1e9 > heard.since + 0.5 and heard.came
                hits.append((still and lived, trial, heard.since, name_of(heard)))
        off = not still_driven(recording)
        hits.append((off, trial, recording.seconds, "motors off at the end"))
    return counted(hits, "times nothing moved", asked)
