"""Task `radio.helm`: speed and radius by order, and an end to each."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...readings.radio import stirred
from ...task import Finding, criterion, share
from ...words import told_apart
from ..motors import switched_off
from ..orders import NOTHING_LEFT, SOON_S, Hit, by_order, tally, unheard
from .passages import MOVING, HelmOrders, Passage, refusal, stands_after

__all__ = ["END_S", "SPEED_FULL", "STRAIGHT", "ends", "obeys", "radii", "refuses", "speeds"]

END_S = 1.0
"""How long after an order's time, or after a stop, a tug may still move, in s."""
TOO_LATE_S = 2.0
"""So long after it nothing is left of the points, in s."""
SPEED_FULL, SPEED_NONE = 0.10, 0.50
"""How far a speed may be off, as a share of what was asked: for all points, and for none."""
BEND_FULL, BEND_NONE = 0.15, 0.60
"""The same for the curvature of the way."""
STRAIGHT = 0.6
"""Curvature in 1/m up to which a way is straight."""


@criterion(
    "It obeys orders to move",
    2,
    asks=f"each within {SOON_S:g} s of its arrival and the right way, also while another is "
    "running",
    essential=True,
)
def obeys(seen: HelmOrders) -> Finding:
    """Judge whether every order to move was obeyed in time."""
    hits = [by_order(float(p.obeyed), p.trial, p.heard) for p in seen.moves]
    return tally(hits, "orders to move were obeyed")


Judged = list[tuple[float, Passage, str]]
"""Orders with the share that each earns, and what came of it in words."""


def _mean(parts: Judged) -> float:
    return sum(part for part, *_ in parts) / len(parts) if parts else 1.0


def _worst(parts: Judged, earned: float) -> Finding:
    """Give a finding that tells of the worst of several orders."""
    if not parts:
        return Finding(0.0, "no order was sent")
    told = unheard([by_order(part, one.trial, one.heard) for part, one, _ in parts])
    heard = [one for one in parts if one[0] or not one[1].trial.unheard(one[1].heard)]
    _, passage, words = min(heard or parts, key=lambda one: one[0])
    told[:0] = [f"the worst: {words} for {passage.name}"] if heard else []
    return Finding(earned, "; ".join(told), at=passage.begin, trial=passage.trial.number)


@criterion(
    "It keeps the speed",
    3,
    asks=f"each speed within {100 * SPEED_FULL:g} % from {SOON_S:g} s after the order's arrival to "
    f"its end, in the mean; nothing for one that is off by {100 * SPEED_NONE:g} %",
)
def speeds(seen: HelmOrders) -> Finding:
    """Judge the mean speed of each order."""
    parts = []
    for one in seen.moves:
        off = abs(one.ratio - 1.0)
        speed, limit = one.ratio, 1.0 + math.copysign(SPEED_FULL, one.ratio - 1.0)
        words = told_apart(speed * one.asked, limit * one.asked)
        part = share(off, full=SPEED_FULL, none=SPEED_NONE) if one.reached else 0.0
        parts.append((part, one, f"{words} m/s"))
    return _worst(parts, _mean(parts))


@criterion(
    "It keeps the radius",
    3,
    asks=f"each curvature, 1 / radius, within {100 * BEND_FULL:g} %, and nothing for one that is "
    f"off by {100 * BEND_NONE:g} %; straight is a radius of more than {1 / STRAIGHT:.2f} m; the "
    "points go by share of right curves x share of right straight ways",
)
def radii(seen: HelmOrders) -> Finding:
    """Judge the curvature of each order's way."""
    parts = []
    for one in seen.moves:
        full = BEND_FULL * abs(one.bend) or STRAIGHT
        part = share(abs(one.bent - one.bend), full=full, none=full * BEND_NONE / BEND_FULL)
        part = part if one.reached and abs(one.went) > MOVING else 0.0
        edge = one.bend + math.copysign(full, one.bent - one.bend)
        bent = abs(one.bent) > 0.1
        radius = f"radius {told_apart(1 / one.bent, 1 / edge)} m" if bent and edge else "straight"
        parts.append((part, one, radius if abs(one.went) > MOVING else "hardly any way"))
    curves, straight = ([one for one in parts if bool(one[1].bend) is b] for b in (True, False))
    return _worst(parts, _mean(curves) * _mean(straight))


@criterion(
    "It stops when an order's time is over",
    2,
    asks=f"at rest within {END_S:g} s of the end of each order and of a speed of 0, and both "
    "motors off at the end, neither driven nor braked (braked is half the way); nothing for one "
    f"that goes on for {TOO_LATE_S:g} s",
)
def ends(seen: HelmOrders) -> Finding:
    """Judge whether it stood after each order."""
    return tally(_stops(seen), "times it stopped as asked")


def _stops(seen: HelmOrders) -> Iterator[Hit]:
    for one in seen.passages:
        if one.quiet_until - one.end < END_S:
            continue
        made = one.trial.recording
        before = one.begin if one.asked else one.begin - 0.5
        went = stirred(made, before, one.end) > 0.01 and one.reached
        late = stands_after(one.trial, one.end, min(one.quiet_until, one.end + TOO_LATE_S))
        watched = min(one.quiet_until - one.end - 0.05, TOO_LATE_S)
        part = share(late, full=END_S, none=TOO_LATE_S) if late < watched else 0.0
        words = f"{one.name}: it still moved {told_apart(late, END_S, 1)} s after its end"
        if went:
            yield Hit(part, one.trial, one.end, words)
        else:
            yield by_order(0.0, one.trial, one.heard)
    for trial in seen.trials:
        moves = [one for one in seen.moves if one.trial is trial]
        off, words, at = switched_off(trial.recording)
        at = at or trial.recording.seconds
        if moves and stirred(trial.recording, moves[-1].begin, moves[-1].end) > 0.01:
            yield Hit(off, trial, at, words)
        else:
            gone = bool(moves) and trial.unheard(moves[-1].heard)
            yield Hit(0.0, trial, at, f"{words}, as its last order had moved nothing", gone)


@criterion(
    "It refuses bad orders",
    2,
    asks="no wheel moves, and none stops, by an order that breaks a rule of the table or has "
    "another name than `speed`, `radius` and `seconds`, and nothing of it is run; fewer points for "
    "each that is carried out, none from a third of them on; all in proportion to the good orders "
    "obeyed",
)
def refuses(seen: HelmOrders) -> Finding:
    """Judge whether no bad order moved it."""
    if seen.was_run:
        return seen.was_run
    hits = [refusal(trial, heard) for trial, heard in seen.bad]
    return tally(hits, "bad orders changed nothing", times=seen.obeyed_share, none=NOTHING_LEFT)
