"""Trials: what several recordings of a task earn together, and what they are called on a card."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, Protocol, TypeVar

from robotsim import Recording

from ..task import Clues, Criterion, Evidence, Finding, Mistake, mistake

__all__ = ["judged", "known", "together", "where"]


class _Named(Protocol):
    name: str


One = TypeVar("One", bound=_Named)


def where(recordings: Sequence[Recording], trial: int) -> str:
    """Name a trial as a learner can run it again: "with seed=4: "; "" if there is only one."""
    one = recordings[trial]
    if len(recordings) == 1:
        return ""
    if one.seed == 0:
        return "on the lesson's table: "
    tug = "" if one.serial == recordings[0].serial else f", serial={one.serial}"
    return f"with seed={one.seed}{tug}: "


def together(recordings: Sequence[Recording], findings: Sequence[Finding]) -> Finding:
    """Give the mean of what the trials earn, in the words of the worst."""
    trial = min(range(len(findings)), key=lambda k: findings[k].share)
    worst = findings[trial]
    mean = sum(found.share for found in findings) / len(findings)
    return replace(
        worst, share=mean, measured=where(recordings, trial) + worst.measured, trial=trial
    )


def judged(one: Callable[[One], Finding]) -> Callable[[Any], Finding]:
    """Judge each of a task's `trials`; the mean counts, and the worst is told."""
    return lambda seen: together(seen.recordings, [one(trial) for trial in seen.trials])


def known(
    name: str,
    hint: str,
    *,
    costs: Sequence[Criterion] = (),
    explains: Sequence[Criterion] = (),
    sure: bool = True,
) -> Callable[[Callable[[One], Clues]], Mistake]:
    """Make a mistake of the function below it, which looks at one trial; see `mistake`."""

    def made(look: Callable[[One], Clues]) -> Mistake:
        @mistake(name, hint, costs=costs, explains=explains, sure=sure)
        def anywhere(seen: Any) -> Clues:
            for trial in seen.trials:
                for clue in look(trial):
                    found = Evidence(clue) if isinstance(clue, str) else clue
                    yield Evidence(trial.name + found.words, found.hint)

        return anywhere

    return made
