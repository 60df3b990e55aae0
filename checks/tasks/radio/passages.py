"""Passages: what orders make the wheels do, good ones and bad ones."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from robotsim import Recording

from ...readings.motion import SIDES, motor_phases, rolled
from ...readings.radio import Heard, moved, stirred
from ..orders import SOON_S, ByRadio, Hit, Trial, by_order

__all__ = [
    "MOVING",
    "REACT_S",
    "HelmOrders",
    "Passage",
    "moved_by",
    "refusal",
    "stands_after",
    "stopped_by",
]

MOVING = 0.03
"""Mean speed in m/s above which a tug is under way."""
REACT_S = 0.39
"""For so long after a bad order nothing may move, in s: then the next one may come."""
_STILL = 0.005
"""A wheel's way in m that is no movement."""
_MEAN_S = 0.1
"""Time in s over which a wheel's speed is taken."""


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

    @property
    def reached(self) -> bool:
        """Whether the order arrived while the program ran."""
        return self.trial.reached(self.heard)

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
        return self.reached and self.went > MOVING * self.seconds

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
    """Tell whether it was a bad order that set the tug going: it stood, or was driven otherwise.

    Who steers by a sensor changes the duties all the time, and goes on as before.
    """
    made, since = trial.recording, bad.since
    if stirred(made, since, since + REACT_S) < _STILL:
        return False
    if stirred(made, since - 0.05, since) < 0.0005:
        return True
    for side in SIDES:
        duties = [p.duty for p in motor_phases(made, side) if p.begin <= since <= p.end]
        new = any(p.duty and p.duty not in duties for p in motor_phases(made, side)
                  if since < p.begin < since + REACT_S)  # fmt: skip
        before, after = (_speed(made, side, t) for t in (since, since + REACT_S))
        if new and abs(after - before) > MOVING:
            return True
    return False


def _speed(recording: Recording, side: str, until: float) -> float:
    """Give one wheel's mean speed just before a time, in m/s."""
    way = rolled(recording, side, until) - rolled(recording, side, until - _MEAN_S)
    return way / _MEAN_S


def stopped_by(trial: Trial, bad: Heard) -> bool:
    """Tell whether a tug that was under way stood because of a bad order."""
    before, after = (
        stirred(trial.recording, bad.since + a, bad.since + b)
        for a, b in ((-0.15, 0.0), (REACT_S - 0.15, REACT_S))
    )
    return before > 0.15 * MOVING and after < _STILL / 10


def refusal(trial: Trial, bad: Heard) -> Hit:
    """Judge a bad order: the program lived on after it, and the tug did what it did before."""
    lived = trial.ended > bad.since + REACT_S
    moved = moved_by(trial, bad)
    good = lived and not moved and not stopped_by(trial, bad)
    return by_order(float(good), trial, bad, acted=moved and bad.since < trial.ended)
