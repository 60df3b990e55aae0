"""Waiting: what was collected and is not marked yet, or is marked by other rules than hold now.

Whoever tells of points asks here, so that report, feedback, appeals and the way back say the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from robotsim import KitError

from ..course.classroom import marked_on
from ..course.roster import Roster
from ..words import counted
from .noted import is_settled, state_of, was_tried
from .submitted import Submission, submissions

__all__ = ["Waiting", "waiting"]

Key = tuple[str, str]


@dataclass(frozen=True)
class Waiting:
    """(learner, lesson) of what `mark` has still to do; nobody of another class is among them.

    Attributes:
        new: Of which nothing was ever marked or tried to be.
        another: Of which another file was marked, or tried: what stands there is of that one.
        changed: Of which this file was marked, under another kit, tug, dates or settings.
    """

    new: frozenset[Key] = frozenset()
    another: frozenset[Key] = frozenset()
    changed: frozenset[Key] = frozenset()

    @property
    def files(self) -> frozenset[Key]:
        """All of which a file waits."""
        return self.new | self.another

    def told(self, learner: str, lesson: str) -> str:
        """Say what a person should know of one of them; "" if it is marked."""
        if (learner, lesson) in self.new:
            return "collected and not marked yet (`mark` does it)"
        if (learner, lesson) in self.another:
            return "another file has come and waits for `mark`; what stands is of the earlier one"
        return ""

    def lines(self, called: Mapping[str, str]) -> Iterator[str]:
        """Say it of all learners of these names, a line for each lesson and way of waiting."""
        groups: dict[tuple[str, str], list[str]] = {}
        for learner, lesson in sorted(self.files):
            if learner in called:
                words = self.told(learner, lesson)
                groups.setdefault((lesson, words), []).append(called[learner])
        yield from (f"{lesson}: {words}: {', '.join(names)}"
                    for (lesson, words), names in groups.items())  # fmt: skip

    @property
    def told_of_changes(self) -> str:
        """Say that others than the rules of now were marked by; "" if none were."""
        if not self.changed:
            return ""
        return (f"{counted(len(self.changed), 'submission')} marked under another kit, tug, dates "
                "or settings than those of now; `mark` brings the points up to date")  # fmt: skip


def waiting(course: Path) -> Waiting:
    """Give what `mark` would do now, but for what it can only try once more."""
    found: dict[str, set[Key]] = {"new": set(), "another": set(), "changed": set()}
    roster = marked_on(course)
    for one in submissions(course, roster):
        learner, lesson = one[:2] if isinstance(one, tuple) else (one.learner, one.lesson)
        if roster.lacks(learner):
            continue
        if kind := _kind(course, roster, one, learner, lesson):
            found[kind].add((learner, lesson))
    return Waiting(**{kind: frozenset(keys) for kind, keys in found.items()})


def _kind(
    course: Path, roster: Roster, one: Submission | tuple[str, str, str], learner: str, lesson: str
) -> str:
    """Give in which way one waits; "" if it does not."""
    state = state_of(course, learner, lesson)
    if not state:
        return "new"
    if "fault" in state:
        done = is_settled(course, learner, lesson) or was_tried(course, learner, lesson)
        return "" if done else "another"
    if isinstance(one, tuple) or state.get("content", one.content) != one.content:
        return "another"
    try:
        same = state.get("mark") == one.mark(course)
    except (KitError, OSError):
        return ""  # marking it tells why
    return "" if same or roster.as_marked(learner).has_left else "changed"
