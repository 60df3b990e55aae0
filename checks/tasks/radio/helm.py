"""Task `radio.helm`: speed and radius by order, and an end to each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ...readings.motion import SIDES, motor_phases, still_driven
from ...readings.radio import Heard, moved, stirred
from ...task import Finding, criterion, share
from ...words import amount, told_apart
from ..orders import NOTHING_LEFT, SOON_S, ByRadio, Hit, Trial, tally

__all__ = [
    "END_S",
    "HelmOrders",
    "Passage",
    "ends",
    "moved_by",
    "obeys",
    "radii",
    "refuses",
    "speeds",
    "stands_after",
]

END_S = 1.0
"""How long after an order's time, or after a stop, a tug may still move, in s."""
TOO_LATE_S = 2.0
"""So long after it nothing is left of the points, in s."""
MOVING = 0.03
"""Mean speed in m/s above which a tug is under way."""
SPEED_FULL, SPEED_NONE = 0.10, 0.50
"""How far a speed may be off, as a share of what was asked: for all points, and for none."""
BEND_FULL, BEND_NONE = 0.15, 0.60
"""The same for the curvature of the way."""
STRAIGHT = 0.6
"""Curvature in 1/m up to which a way is straight."""
REACT_S = 0.39
"""For so long after a bad order nothing may move, in s: then the next one may come."""
_STILL = 0.005
"""A wheel's way in m that is no movement."""


@dataclass(frozen=True)
class Passage:
    """The time in which a good order for the wheels holds: up to its end or to the next one.

    Attributes:
        trial: The trial.
        heard: The order.
        begin: When it arrived, in s.
        end: When its time is over or the next good order arrives, in s.
        following: The next good order, or None.
    """

    trial: Trial
    heard: Heard
    begin: float
    end: float
    following: Heard | None

    @property
    def asked(self) -> float:
        """The speed that was asked for, in m/s; 0 is a stop."""
        return (self.heard.order and self.heard.order.speed) or 0.0

    @property
    def bend(self) -> float:
        """The curvature that was asked for, in 1/m, to port positive."""
        radius = self.heard.order and self.heard.order.radius
        return 1 / radius if radius else 0.0

    @property
    def over(self) -> float:
        """When its own time is over, whether or not another order has come, in s."""
        assert self.heard.order
        return self.begin + self.heard.order.seconds

    @property
    def name(self) -> str:
        """The order and its time, for the card."""
        return f"{self.heard.text} at {self.heard.sent:.1f} s"

    @cached_property
    def went(self) -> float:
        """How far it went the way that was ordered, once it had time to obey, in m."""
        far = moved(self.trial.recording, self.begin + SOON_S, self.end)
        return far * math.copysign(1.0, self.asked)

    @property
    def seconds(self) -> float:
        """For how long that is measured, in s."""
        return self.end - self.begin - SOON_S

    @property
    def ratio(self) -> float:
        """The speed over what was asked; negative the other way."""
        return self.went / self.seconds / abs(self.asked)

    @cached_property
    def bent(self) -> float:
        """The curvature of the way, in 1/m, to port positive; 0 for one that is no way."""
        heading = [self.trial.recording.at("heading", t) for t in (self.begin + SOON_S, self.end)]
        went = self.went * math.copysign(1.0, self.asked)
        return (heading[1] - heading[0]) / went if abs(went) > 0.02 else 0.0

    @property
    def obeyed(self) -> bool:
        """Whether the tug was under way as ordered."""
        return self.heard.came and self.went > MOVING * self.seconds

    @property
    def quiet_until(self) -> float:
        """Up to when nothing else is heard, good or bad, in s."""
        later = (h.since for h in self.trial.orders if h.since > self.begin and h.since >= self.end)
        return next(later, self.trial.recording.seconds)


class HelmOrders(ByRadio):
    """What the runs of the task say."""

    names = frozenset({"speed", "radius", "seconds"})

    @cached_property
    def passages(self) -> tuple[Passage, ...]:
        """The good orders with the time in which each holds."""
        return tuple(one for trial in self.trials for one in _passages(trial))

    @property
    def moves(self) -> Iterator[Passage]:
        """Go through those that ask for a speed other than 0."""
        return (one for one in self.passages if one.asked)

    @property
    def obeyed_share(self) -> float:
        """The share of the orders to move that were obeyed."""
        moves = list(self.moves)
        return sum(one.obeyed for one in moves) / len(moves) if moves else 0.0


def _passages(trial: Trial) -> Iterator[Passage]:
    for heard, following in zip(trial.good, [*trial.good[1:], None], strict=False):
        assert heard.order
        end = heard.since + heard.order.seconds
        if following is not None:
            end = min(end, following.since)
        yield Passage(trial, heard, heard.since, end, following)


def stands_after(trial: Trial, since: float, until: float) -> float:
    """Give how long after a time a tug still moved, in s, watched up to another time."""
    tracks = trial.recording.tracks
    rows = zip(tracks["t"], tracks["left"], tracks["right"], strict=True)
    still = _STILL
    late = [t for t, *rims in rows if since < t <= until and max(map(abs, rims)) > still]
    return max(late, default=since) - since


def moved_by(trial: Trial, bad: Heard) -> bool:
    """Tell whether it was a bad order that set the tug going: it stood, or its duties changed."""
    made, since = trial.recording, bad.since
    if stirred(made, since, since + REACT_S) < _STILL:
        return False
    if stirred(made, since - 0.05, since) < 0.0005:
        return True
    for side in SIDES:
        duties = [p.duty for p in motor_phases(made, side) if p.begin <= since <= p.end]
        if any(p.duty and p.duty not in duties for p in motor_phases(made, side)
               if since < p.begin < since + REACT_S):  # fmt: skip
            return True
    return False


@criterion(
    "It obeys orders to move",
    2,
    asks=f"each within {SOON_S:g} s of its arrival and the right way, also while another is "
    "running",
    essential=True,
)
def obeys(seen: HelmOrders) -> Finding:
    """Judge whether every order to move was obeyed in time."""
    hits = [Hit(float(p.obeyed), p.trial, p.begin, p.name) for p in seen.moves]
    return tally(hits, "orders to move were obeyed")


Judged = list[tuple[float, Passage, str]]
"""Orders with the share that each earns, and what came of it in words."""


def _mean(parts: Judged) -> float:
    return sum(part for part, *_ in parts) / len(parts) if parts else 1.0


def _worst(parts: Judged, earned: float) -> Finding:
    """Give a finding that tells of the worst of several orders."""
    if not parts:
        return Finding(0.0, "no order was sent")
    _, passage, words = min(parts, key=lambda one: one[0])
    where = f"{words} for {passage.name}"
    return Finding(earned, f"the worst: {where}", at=passage.begin, trial=passage.trial.number)


@criterion(
    "It keeps the speed",
    3,
    asks=f"each speed within {SPEED_FULL:.0%} from {SOON_S:g} s after the order's arrival to its "
    f"end, in the mean; nothing for one that is off by {SPEED_NONE:.0%}".replace("%", " %"),
)
def speeds(seen: HelmOrders) -> Finding:
    """Judge the mean speed of each order."""
    parts = []
    for one in seen.moves:
        off = abs(one.ratio - 1.0)
        speed = one.ratio * one.asked
        places = 2 if off > 2 * SPEED_FULL else 3
        part = share(off, full=SPEED_FULL, none=SPEED_NONE) if one.heard.came else 0.0
        parts.append((part, one, f"{amount(speed, places)} m/s"))
    return _worst(parts, _mean(parts))


@criterion(
    "It keeps the radius",
    3,
    asks=f"each curvature, 1 / radius, within {BEND_FULL:.0%}, and nothing for one that is off by "
    f"{BEND_NONE:.0%}; straight is a radius of more than ".replace("%", " %")
    + f"{1 / STRAIGHT:.2f} m; the share of right curves counts times that of right straight ways",
)
def radii(seen: HelmOrders) -> Finding:
    """Judge the curvature of each order's way."""
    parts = []
    for one in seen.moves:
        full = BEND_FULL * abs(one.bend) or STRAIGHT
        part = share(abs(one.bent - one.bend), full=full, none=full * BEND_NONE / BEND_FULL)
        part = part if one.heard.came and abs(one.went) > MOVING else 0.0
        bent = abs(one.bent) > 0.1
        radius = f"radius {told_apart(1 / one.bent, 1 / STRAIGHT)} m" if bent else "straight"
        parts.append((part, one, radius if abs(one.went) > MOVING else "hardly any way"))
    curves, straight = ([one for one in parts if bool(one[1].bend) is b] for b in (True, False))
    return _worst(parts, _mean(curves) * _mean(straight))


@criterion(
    "It stops when an order's time is over",
    2,
    asks=f"at rest within {END_S:g} s of the end of each order and of a speed of 0, and no motor "
    f"driven at the end; nothing for one that goes on for {TOO_LATE_S:g} s",
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
        went = stirred(made, before, one.end) > 0.01 and one.heard.came
        late = stands_after(one.trial, one.end, min(one.quiet_until, one.end + TOO_LATE_S))
        watched = min(one.quiet_until - one.end - 0.05, TOO_LATE_S)
        part = share(late, full=END_S, none=TOO_LATE_S) if late < watched else 0.0
        name = f"{one.name}: {late:.1f} s after its end it still moved" if late else one.name
        yield Hit(part if went else 0.0, one.trial, one.end, name)
    for trial in seen.trials:
        moves = [one for one in seen.moves if one.trial is trial]
        off = not still_driven(trial.recording)
        went = bool(moves) and stirred(trial.recording, moves[-1].begin, moves[-1].end) > 0.01
        yield Hit(float(off and went), trial, trial.recording.seconds, "motors off at the end")


@criterion(
    "It refuses bad orders",
    2,
    asks="no wheel moves by an order that breaks a rule of the table or has another name than "
    "`speed`, `radius` and `seconds`, and nothing of it is run; nothing is earned where a third of "
    "them are carried out",
)
def refuses(seen: HelmOrders) -> Finding:
    """Judge whether no bad order moved it."""
    if seen.was_run:
        return seen.was_run
    hits = [
        Hit(float(trial.ended > heard.since + REACT_S and not moved_by(trial, heard)),
            trial, heard.since, f"{heard.text} at {heard.sent:.1f} s")
        for trial, heard in seen.bad
    ]  # fmt: skip
    return tally(hits, "bad orders moved nothing", times=seen.obeyed_share, none=NOTHING_LEFT)
