"""Orders by radio: the facts of a trial with the harbour office, whatever the task."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from typing import ClassVar, NamedTuple

from robotsim import Recording
from robotsim.radio import log_topic

from ..readings.radio import (
    Heard,
    Published,
    orders,
    published,
    radio,
    subscriptions,
    taken,
    wills,
)
from ..task import Facts, Finding, share

__all__ = [
    "GIVEAWAY",
    "NOTHING_LEFT",
    "ORDER_NAMES",
    "SOON_S",
    "ByRadio",
    "Hit",
    "Trial",
    "by_order",
    "tally",
    "unheard",
]

SOON_S = 0.4
"""How long an order may take to be obeyed, in s."""
GIVEAWAY = "42 times evaluated"
"""What the console shows if a program runs what arrives."""
ORDER_NAMES = frozenset({"speed", "radius", "seconds", "lamps", "number"})


class Trial:
    """One run of a task by radio.

    Attributes:
        number: Its place among the task's runs, from 0.
        recording: What it left.
        names: The names that an order of this task may have.
    """

    def __init__(self, number: int, recording: Recording, names: frozenset[str]) -> None:
        self.number, self.recording, self.names = number, recording, names

    @cached_property
    def orders(self) -> tuple[Heard, ...]:
        """What the office sent; with a name that the task does not know it is a bad order."""
        return tuple(map(self._by_the_task, orders(self.recording)))

    def _by_the_task(self, heard: Heard) -> Heard:
        order = heard.order
        if order is None:
            return heard
        spare = [name for name in ("lamps", "number", "radius", "speed")
                 if name not in self.names and getattr(order, name) is not None]  # fmt: skip
        if not spare:
            return heard
        return heard._replace(order=None, why=f"an order of this task has no name {spare[0]!r}")

    @cached_property
    def good(self) -> tuple[Heard, ...]:
        """The orders that may be carried out."""
        return tuple(heard for heard in self.orders if heard.order is not None)

    @cached_property
    def bad(self) -> tuple[Heard, ...]:
        """The orders that must be refused."""
        return tuple(heard for heard in self.orders if heard.order is None)

    @cached_property
    def reports(self) -> tuple[Published, ...]:
        """What the tug published under its log topic."""
        return tuple(published(self.recording))

    @cached_property
    def wills(self) -> tuple[Published, ...]:
        """What the broker told the office in the tug's name."""
        return tuple(wills(self.recording))

    @cached_property
    def subscribed(self) -> tuple[tuple[float, bool], ...]:
        """When the tug subscribed, and whether to its own orders."""
        return tuple(subscriptions(self.recording))

    @property
    def took(self) -> int:
        """How many messages the program took."""
        return taken(self.recording)

    @property
    def log(self) -> str:
        """The topic of the tug's reports."""
        return log_topic(self.recording.serial)

    @property
    def ended(self) -> float:
        """When the program came to its end, in s, or the trial."""
        return self.recording.ended_ns / 1e9

    def reached(self, heard: Heard) -> bool:
        """Tell whether an order arrived while the program ran: no other one can be obeyed."""
        return heard.came and heard.since < self.ended

    def unheard(self, heard: Heard) -> bool:
        """Tell whether the program had come to its end before an order, or its time, was over.

        Who stopped with an error behind an order that it had taken has heard it.
        """
        if self.recording.ended == "time is up" or self.ended > heard.since + SOON_S:
            return False
        return self.recording.problem is None or heard.taken is None

    def radio(self, *whats: str) -> list[tuple[float, str]]:
        """Give what network and broker did: when in s, and the detail."""
        return list(radio(self.recording, *whats))

    def times(self, *whats: str) -> list[float]:
        """Give when network and broker did something, in s."""
        return [at for at, _ in radio(self.recording, *whats)]

    def did(self, *deeds: str) -> list[Published]:
        """Give the reports of some deeds ("done", "refused", ...)."""
        return [one for one in self.reports if one.report and one.report.did in deeds]

    def evaluated(self) -> float | None:
        """Give when the console showed what only running a message can print, in s."""
        return next((at for at, line in self.recording.printed if GIVEAWAY in line), None)


class ByRadio(Facts):
    """What the runs of a task by radio say."""

    names: ClassVar[frozenset[str]] = ORDER_NAMES
    """The names that an order of the task may have."""

    @cached_property
    def trials(self) -> tuple[Trial, ...]:
        """The task's runs, in order."""
        return tuple(Trial(k, made, self.names) for k, made in enumerate(self.recordings))

    @property
    def good(self) -> Iterator[tuple[Trial, Heard]]:
        """Go through the orders that may be carried out."""
        return ((trial, heard) for trial in self.trials for heard in trial.good)

    @property
    def bad(self) -> Iterator[tuple[Trial, Heard]]:
        """Go through the orders that must be refused."""
        return ((trial, heard) for trial in self.trials for heard in trial.bad)

    @cached_property
    def evaluated(self) -> tuple[Trial, float] | None:
        """The trial in which a message was run as a program, and when."""
        found = ((trial, trial.evaluated()) for trial in self.trials)
        return next(((trial, at) for trial, at in found if at is not None), None)

    @property
    def was_run(self) -> Finding | None:
        """The finding that a message was run as a program, where one was."""
        if self.evaluated is None:
            return None
        trial, at = self.evaluated
        return Finding(0.0, "a message was run as a program", at=at, trial=trial.number)


class Hit(NamedTuple):
    """One of several things that were asked, and what came of it.

    Attributes:
        share: How far it was done, 0 to 1.
        trial: In which trial.
        at: When, in s.
        name: What it was, for the card.
        unheard: Whether it was missed because the program had come to its end, see `Trial.unheard`.
    """

    share: float
    trial: Trial
    at: float
    name: str
    unheard: bool = False


def by_order(part: float, trial: Trial, heard: Heard, *, acted: bool = False) -> Hit:
    """Give what came of an order.

    Args:
        part: How far it was treated as asked, 0 to 1.
        trial: The trial.
        heard: The order.
        acted: Whether something was done by it that should not have been: then it was heard.
    """
    unheard = not part and not acted and trial.unheard(heard)
    return Hit(part, trial, heard.since, f"{heard.text} at {heard.sent:.1f} s", unheard)


NOTHING_LEFT = 1 / 3
"""Share of the bad orders: who carries out so many has earned nothing by refusing the others."""


def tally(
    hits: Iterable[Hit], what: str, *, aside: str = "", times: float = 1.0, none: float = 1.0
) -> Finding:
    """Give a finding for several things that were done or not.

    Args:
        hits: The things; there may be none, which earns nothing.
        what: What was counted ("good orders were shown").
        aside: What was not counted, in words, and why.
        times: What the share of the points is multiplied with.
        none: Which share of them must be missing for nothing to be earned.
    """
    hits = list(hits)
    part = share(1 - sum(hit.share for hit in hits) / len(hits), full=0.0, none=none) if hits else 0
    told = _counted(hits, what)
    if times < 1.0 and told:
        told[0] += f", which counts by the {100 * times:.0f} % of good orders that were carried out"
    told += unheard(hits) + [aside] * bool(aside)
    missed = [hit for hit in hits if hit.share < 1.0]
    failed = [hit for hit in missed if not hit.unheard]
    told += [f"the first that failed: {hit.name}" for hit in failed[:1]]
    if not missed:
        return Finding(part * times, "; ".join(told))
    first = [*failed, *missed][0]
    return Finding(part * times, "; ".join(told), at=first.at, trial=first.trial.number)


def _counted(hits: Sequence[Hit], what: str) -> list[str]:
    """Say how many of those that a program heard were done."""
    heard = [hit for hit in hits if not hit.unheard]
    done = sum(hit.share >= 1.0 for hit in heard)
    return [f"{done} of {len(heard)} {what}"] if heard or not hits else []


def unheard(hits: Sequence[Hit]) -> list[str]:
    """Say how many came when no program ran any more: they did not fail by what it did."""
    number = sum(hit.unheard for hit in hits)
    few = f"all {number}" if number == len(hits) else f"{number} more"
    late = f"{few} came when the program had ended, or was about to, and earn nothing"
    return [late] if number else []
