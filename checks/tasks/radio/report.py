"""Task `radio.report`: what was done and what was refused is told, once each."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from ...readings.radio import Heard, Published
from ...task import Finding, criterion
from ...words import counted
from ..orders import SOON_S, ByRadio, Hit, Trial, by_order, tally
from .lamps import lamps_on_order
from .scripts import PAIR_S

__all__ = [
    "ANSWER_S",
    "Answer",
    "ReportOrders",
    "at_least_once",
    "done",
    "joined",
    "refused",
    "said_too_soon",
    "shows",
]

ANSWER_S = 0.6
"""Within this time after its arrival an order must be answered, in s."""


class Answer(NamedTuple):
    """An order and what was told of it.

    Attributes:
        trial: The trial.
        heard: The order.
        mine: The reports that may be about it: those up to the next order that came by itself.
        fitting: The one that answers it as asked, or None.
        spare: How many more reports than orders there were in that time.
        pair: Whether another order came close before or behind it.
    """

    trial: Trial
    heard: Heard
    mine: tuple[Published, ...]
    fitting: Published | None
    spare: int
    pair: bool

    @property
    def hit(self) -> Hit:
        """Whether it was answered as asked."""
        answered = bool(self.fitting) and not self.spare
        return by_order(float(answered), self.trial, self.heard, acted=bool(self.mine))


class ReportOrders(ByRadio):
    """What the runs of the task say."""

    names = frozenset({"lamps", "number"})

    @cached_property
    def answers(self) -> tuple[Answer, ...]:
        """Every order with what was told of it."""
        return tuple(one for trial in self.trials for one in _answers(trial))

    @cached_property
    def overtaking(self) -> tuple[Published, ...]:
        """The reports that went out before the one before them was acknowledged."""
        return tuple(
            after
            for trial in self.trials
            for before, after in zip(trial.reports, trial.reports[1:], strict=False)
            if before.qos and after.sent < before.at
        )


def _groups(trial: Trial) -> list[list[Heard]]:
    """Give the orders, those that came close together in one group."""
    groups: list[list[Heard]] = []
    for heard in trial.orders:
        if groups and heard.sent - groups[-1][-1].sent < 2 * PAIR_S:
            groups[-1].append(heard)
        else:
            groups.append([heard])
    return groups


def _answers(trial: Trial) -> Iterator[Answer]:
    groups = _groups(trial)
    for group, following in zip(groups, [*groups[1:], None], strict=True):
        until = trial.recording.seconds if following is None else following[0].sent
        mine = tuple(one for one in trial.reports if group[0].since <= one.at < until)
        left = [one for one in mine if one.at <= group[-1].since + ANSWER_S]
        for heard in group:
            fitting = next((one for one in left if _fits(one, heard)), None)
            if fitting:
                left.remove(fitting)
            spare = max(0, len(mine) - len(group))
            yield Answer(trial, heard, mine, fitting, spare, len(group) > 1)


def _fits(one: Published, heard: Heard) -> bool:
    """Tell whether a report answers an order: with the right words, and no other names."""
    if one.report is None:
        return False
    names, report = set(json.loads(one.payload)), one.report
    if heard.order is None:
        return report.did == "refused" and names == {"did", "why"} and bool(report.why.strip())
    right = report.did == "done" and report.number == heard.order.number
    return right and names == {"did", "number"}


@criterion(
    "It reports what it has done",
    4,
    asks='exactly one {"did": "done", "number": ...} for each good order, with its very number and '
    f"no other names, within {ANSWER_S:g} s; also of two that come at once",
    essential=True,
)
def done(seen: ReportOrders) -> Finding:
    """Judge whether every good order was told done, once."""
    hits = [one.hit for one in seen.answers if one.heard.order is not None]
    return tally(hits, "good orders were reported done")


@criterion(
    "It reports what it has refused",
    3,
    asks='exactly one {"did": "refused", "why": ...} for each bad order, with a reason and no '
    f"other names, within {ANSWER_S:g} s; nothing of it is run",
)
def refused(seen: ReportOrders) -> Finding:
    """Judge whether every bad order was told refused, once."""
    if seen.was_run:
        return seen.was_run
    hits = [one.hit for one in seen.answers if one.heard.order is None]
    return tally(hits, "bad orders were reported refused")


@criterion(
    "It says that it is there",
    1,
    asks='just {"did": "joined"}, once, after it has subscribed and before the first order; half '
    "of it for one before it has subscribed",
)
def joined(seen: ReportOrders) -> Finding:
    """Judge whether it told that it is there."""
    for trial in seen.trials:
        first = min((heard.sent for heard in trial.orders), default=0.0)
        early = [one for one in trial.reports if one.at < first]
        if len(early) != 1 or not _is_joined(early[0]):
            words = f"{counted(len(early), 'report')} before the first order, none as asked"
            if early and early[0].report is None:
                words = f"no report: {early[0].why}"
            return Finding(0.0, words, at=first, trial=trial.number)
        if said_too_soon(trial):
            words = "reported joined before it had subscribed"
            return Finding(0.5, words, at=early[0].at, trial=trial.number)
    return Finding(1.0, "reported joined")


def _is_joined(one: Published) -> bool:
    return one.report is not None and json.loads(one.payload) == {"did": "joined"}


def said_too_soon(trial: Trial) -> bool:
    """Tell whether it said that it had joined before it could have heard an order."""
    heard_from = next((at for at, fits in trial.subscribed if fits), None)
    return any(heard_from is None or one.at < heard_from for one in trial.did("joined")[:1])


@criterion(
    "Its reports come at least once",
    1,
    asks="all at QoS 1, and none is published before the one before it was acknowledged",
)
def at_least_once(seen: ReportOrders) -> Finding:
    """Judge how the reports were published."""
    some = [one for trial in seen.trials for one in trial.reports]
    sure = sum(one.qos == 1 and one not in seen.overtaking for one in some)
    words = f"{sure} of {counted(len(some), 'report')} at QoS 1, one after the other"
    return Finding(sure / len(some) if some else 0.0, words)


@criterion(
    "It shows what good orders ask",
    2,
    asks=f"its very colour on all five lamps within {SOON_S:g} s of its arrival, for every good "
    "order (of two at once, the second)",
)
def shows(seen: ReportOrders) -> Finding:
    """Judge whether the lamps show what was told."""
    return tally(lamps_on_order(seen), "good orders were shown on all five lamps")
