"""Model: what a room knows of its learners, from messages and the screen's own times alone.

It has no clock, no connection and no page, so that it can be tested without them.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from ..tasks import TASKS
from .message import READY, BadMessage, Ready, Tried, read, today

__all__ = ["MOST_LEARNERS", "Learner", "Room", "Standing"]

MOST_LEARNERS = 200
"""Whoever invents laptops fills no memory."""
_BURST, _RATE = 30.0, 1.0
"""So many messages of a laptop at once, and so many a second; ours send one a second at most."""


@dataclass
class Standing:
    """How a task stands with a learner.

    Attributes:
        points: The best of all tries.
        tries: Of all kernels together.
        first: When it was first tried, in s since 1970, by this computer's clock.
        cause: The likeliest cause that the last card named; None for none.
        run: The kernel that told last.
        counted: How many of the tries are of that kernel.
    """

    points: float
    tries: int
    first: float
    cause: str | None
    run: str
    counted: int


@dataclass
class Learner:
    """One laptop in the room.

    Attributes:
        alias: What its learner wants to be called.
        heard: When something new was heard last, in s since 1970.
        lacking: The lines of the doctor that are not ready; None: not known.
        task: The task that was tried last; None for none.
        tasks: Task to how it stands.
        worked: Whether a check was told since the doctor's findings: then the kit does run.
        budget: How many messages it may tell now, and when that was worked out.
    """

    alias: str
    heard: float
    lacking: tuple[str, ...] | None = None
    task: str | None = None
    tasks: dict[str, Standing] = field(default_factory=dict)
    worked: bool = False
    budget: tuple[float, float] = (_BURST, 0.0)

    def passed(self, task: str) -> bool:
        """Tell whether a task has all its points."""
        standing = self.tasks.get(task)
        return standing is not None and standing.points >= TASKS[task].points


class Room:
    """All learners, by the key of their laptop, in the order in which they came."""

    def __init__(self) -> None:
        self.learners: dict[str, Learner] = {}
        self.refused: Counter[str] = Counter()

    def hear(self, key: str, what: str, payload: bytes, now: float, kept: bool = False) -> bool:
        """Take a message in, and tell whether it is news or a sign of life; others are counted.

        Args:
            key: The laptop's.
            what: "ready" or a task.
            payload: Empty where what was told is taken back.
            now: The time, in s since 1970.
            kept: Whether the broker had it from before.
        """
        learner = self.learners.get(key)
        if not payload:
            return learner is not None and self._take_back(key, learner, what)
        try:
            told = read(what, payload)
            if kept and told.day != today(now):
                raise BadMessage("of another day")
            if learner is None and len(self.learners) >= MOST_LEARNERS:
                raise BadMessage("the room is full")
            known = learner or Learner(told.alias, now)
            self._spend(known, now)
        except BadMessage as fault:
            self.refused[str(fault)] += 1
            return False
        self.learners[key] = known
        done = self._ready(known, told) if isinstance(told, Ready) else self._try(known, told, now)
        # What was kept and is known already is no sign of life.
        if not (done or learner is None or known.alias != told.alias or not kept):
            return False
        known.alias, known.heard = told.alias, now
        return True

    def refuse(self, reason: str) -> None:
        """Count what did not even come so far."""
        self.refused[reason] += 1

    def names(self) -> dict[str, str]:
        """Give each key's name on the screen: two who chose one alias are told apart."""
        names: dict[str, str] = {}
        taken: set[str] = set()
        for key, learner in self.learners.items():
            name, number = learner.alias, 1
            while name in taken:
                number += 1
                name = f"{learner.alias} {number}"
            taken.add(name)
            names[key] = name
        return names

    def lessons(self) -> list[str]:
        """Give the lessons in play: those of which somebody has tried a task, in their order."""
        tried = {task for learner in self.learners.values() for task in learner.tasks}
        return list(dict.fromkeys(TASKS[task].lesson for task in TASKS if task in tried))

    def _take_back(self, key: str, learner: Learner, what: str) -> bool:
        if what == READY:
            del self.learners[key]
            return True
        if learner.task == what:
            learner.task = None
        return learner.tasks.pop(what, None) is not None

    @staticmethod
    def _spend(learner: Learner, now: float) -> None:
        """Take one message off a laptop's budget."""
        left, before = learner.budget
        left = min(_BURST, left + _RATE * max(0.0, now - before))
        if left < 1.0:
            raise BadMessage("too many at once")
        learner.budget = left - 1.0, now

    @staticmethod
    def _ready(learner: Learner, told: Ready) -> bool:
        if told.lacking is None or told.lacking == learner.lacking:
            return False
        learner.lacking, learner.worked = told.lacking, False
        return True

    @staticmethod
    def _try(learner: Learner, told: Tried, now: float) -> bool:
        before = learner.tasks.get(told.task)
        earlier, points, first = 0, told.points, now - told.since
        if before is not None:
            same = before.run == told.run
            if same and told.tries <= before.counted:
                return False  # told twice, or by a connection that was slower than the next
            earlier = before.tries - (before.counted if same else 0)
            points, first = max(points, before.points), min(first, before.first)
        learner.tasks[told.task] = Standing(
            points, earlier + told.tries, first, told.cause, told.run, told.tries
        )
        learner.task, learner.worked = told.task, True
        return True
