"""What the tasks of the line look at: trials, each with its way along the line and its eyes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from robotsim import Recording

from ...readings.line import Course, Truth, course, looks, true_counts
from ...readings.motion import SIDES, driven
from ...task import Criterion, Facts, Mistake
from ..trials import where

__all__ = ["LOOKS_ON_S", "Line", "Trial", "bound"]

LOOKS_ON_S = 1.0
"""Who looks on for so long, in s, with no motor driven does not think that it is there."""


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
        made = self.recording
        return true_counts(made.table, made.seed, made.serial, made.day)

    @property
    def ended_s(self) -> float:
        """When the program ended, in s."""
        return self.recording.ended_ns / 1e9

    @property
    def finished(self) -> bool:
        """Whether the program ended by itself."""
        return self.recording.ended == "finished"

    @cached_property
    def looked_on_s(self) -> float:
        """For how long it went on looking when no motor was driven any more, in s."""
        ends = [phases[-1].end for side in SIDES if (phases := driven(self.recording, side))]
        looked = [event.seconds for event in self.recording.of("adc")]
        return max(looked, default=0.0) - max(ends, default=0.0)

    @property
    def looked_and_ended(self) -> bool:
        """Whether it looked after it had last driven, and ended: it thought that it was there."""
        return self.finished and 0.0 < self.looked_on_s < LOOKS_ON_S


class Line(Facts):
    """The trials of a task."""

    @cached_property
    def trials(self) -> tuple[Trial, ...]:
        """The trials."""
        every = self.recordings
        return tuple(Trial(one, where(every, k)) for k, one in enumerate(every))


def bound(
    some: Sequence[Mistake],
    *,
    costs: Sequence[Criterion] = (),
    explains: Sequence[Criterion] = (),
) -> tuple[Mistake, ...]:
    """Give mistakes of several tasks with what they cost in one of them."""
    return tuple(one.bound(costs=costs, explains=explains) for one in some)
