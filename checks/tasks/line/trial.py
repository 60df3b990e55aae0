"""What the tasks of the line look at: trials, each with its way along the line and its eyes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

from robotsim import Recording

from ...readings.line import Course, Truth, course, looks, true_counts
from ...task import Clues, Criterion, Evidence, Facts, Finding, Mistake, mistake
from ..trials import together, where

__all__ = ["Line", "Trial", "bound", "judged", "known"]


class Trial:
    """One trial.

    Attributes:
        recording: The recording.
        name: How a card names it, "" where there is only one.
    """

    def __init__(self, recording: Recording, name: str = "") -> None:
        self.recording, self.name = recording, name

    @cached_property
    def went(self) -> Course:
        """How the row of eyes went along the line."""
        return course(self.recording)

    @cached_property
    def counts(self) -> tuple[list[int], ...]:
        """What each eye read, in order."""
        return tuple([look.value for look in looks(self.recording, eye)] for eye in range(4))

    @cached_property
    def truth(self) -> Truth:
        """What the eyes read over paper and line, measured."""
        return true_counts(self.recording.table, self.recording.seed, self.recording.serial)

    @property
    def ended_s(self) -> float:
        """When the program ended, in s."""
        return self.recording.ended_ns / 1e9

    @property
    def finished(self) -> bool:
        """Whether the program ended by itself."""
        return self.recording.ended == "finished"


class Line(Facts):
    """The trials of a task."""

    @cached_property
    def trials(self) -> tuple[Trial, ...]:
        """The trials."""
        every = self.recordings
        return tuple(Trial(one, where(every, k)) for k, one in enumerate(every))


def judged(one: Callable[[Trial], Finding]) -> Callable[[Line], Finding]:
    """Judge each trial; the mean counts, and the worst is told."""
    return lambda seen: together(seen.recordings, [one(trial) for trial in seen.trials])


def known(
    name: str,
    hint: str,
    *,
    costs: Sequence[Criterion] = (),
    explains: Sequence[Criterion] = (),
    sure: bool = True,
) -> Callable[[Callable[[Trial], Clues]], Mistake]:
    """Make a mistake of the function below it, which looks at one trial; see `mistake`."""

    def made(look: Callable[[Trial], Clues]) -> Mistake:
        @mistake(name, hint, costs=costs, explains=explains, sure=sure)
        def anywhere(seen: Line) -> Clues:
            for trial in seen.trials:
                for clue in look(trial):
                    found = Evidence(clue) if isinstance(clue, str) else clue
                    yield Evidence(trial.name + found.words, found.hint)

        return anywhere

    return made


def bound(
    some: Sequence[Mistake],
    *,
    costs: Sequence[Criterion] = (),
    explains: Sequence[Criterion] = (),
) -> tuple[Mistake, ...]:
    """Give mistakes of several tasks with what they cost in one of them."""
    must, may = (frozenset(one.title for one in which) for which in (costs, explains))
    return tuple(replace(one, costs=must, explains=may) for one in some)
