"""Task: what is asked of a program, and how a recording of it is judged.

A criterion looks at recordings only: where the tug went, what the lamps
showed, what the radio carried.  It never sees the program.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from robotsim import Recording
from robotsim.board.link import SILENCE_S
from robotsim.radio import Airwaves

__all__ = ["Criterion", "Finding", "Mistake", "Run", "Task", "patience", "share"]

Recordings = Sequence[Recording]


def share(error: float, *, full: float, none: float) -> float:
    """Give the share of the points for an error: 1 up to `full`, falling to 0 at `none`.

    Args:
        error: How far off, not signed.
        full: The largest error that still earns everything.
        none: The smallest error that earns nothing; more than `full`.
    """
    if error <= full:
        return 1.0
    return max(0.0, (none - error) / (none - full))


def patience(before: Recordings) -> float:
    """Give for how long, in s of real time, a program may go without touching its board.

    Args:
        before: What it has left so far; once it had to be stopped it is waited for less.
    """
    return 1.0 if any(made.ended == "stopped" for made in before) else SILENCE_S


@dataclass(frozen=True)
class Finding:
    """What a criterion found.

    Attributes:
        share: Share of its points, 0 to 1.
        measured: What was measured, in words with units ("ended 0.17 m short of 1.00 m").
        asked: What was asked ("within 0.05 m").
        at: When to look in the recording, in s of simulated time; None for nowhere special.
        trial: Which of the task's recordings to look at.
    """

    share: float
    measured: str
    asked: str
    at: float | None = None
    trial: int = 0


@dataclass(frozen=True)
class Criterion:
    """One thing that a task asks.

    Attributes:
        title: What is asked, in a few words.
        points: What it is worth.
        judge: Recordings of the task's runs, in order, to a finding.
        essential: Whether nothing else counts while this one has earned nothing.
            What a program that does nothing would also fulfil ("ends at rest")
            must stand beside an essential criterion that such a program fails.
    """

    title: str
    points: float
    judge: Callable[[Recordings], Finding]
    essential: bool = False


@dataclass(frozen=True)
class Mistake:
    """A known mistake that a recording gives away.

    Attributes:
        name: Its name ("colour order swapped").
        hint: What to try, in a sentence or two.
        look: Recordings to the evidence in words, or None if it was not made.
    """

    name: str
    hint: str
    look: Callable[[Recordings], str | None]


@dataclass(frozen=True)
class Run:
    """One trial of a task.

    Attributes:
        seconds: Simulated time in s.
        table: The table.
        seed: Seed of noise and table.
        start: Where the tug stands at first; None for the table's place.
        serial: The tug; None for the learner's own.
        air: What is on the radio; None for a network on which nobody speaks.
    """

    seconds: float
    table: str = "basin"
    seed: int = 0
    start: tuple[float, float, float] | None = None
    serial: int | None = None
    air: Airwaves | None = None


@dataclass(frozen=True)
class Task:
    """A task: its runs, its criteria, and the mistakes that people make in it.

    Attributes:
        id: `lesson.task`, such as "drive.straight".
        title: Its title.
        program: The file that the learner writes.
        runs: The trials.
        criteria: What is asked; the points of all make the task's.
        mistakes: Known mistakes, the likeliest and most telling first.
        targets: What to draw beside the path, see `robotsim.show`.
    """

    id: str
    title: str
    program: str
    runs: tuple[Run, ...]
    criteria: tuple[Criterion, ...]
    mistakes: tuple[Mistake, ...] = ()
    targets: tuple[Any, ...] = ()

    @property
    def lesson(self) -> str:
        """The lesson that the task belongs to."""
        return self.id.split(".")[0]

    @property
    def points(self) -> float:
        """The most that the task can earn."""
        return sum(criterion.points for criterion in self.criteria)
