"""View: what a screen shows of a room at a moment, in words."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ..tasks import TASKS
from .model import Learner, Room

__all__ = ["FULL", "NONE", "PART", "UNTRIED", "Held", "Person", "View", "Visit", "ago", "view"]

FULL, PART, NONE, UNTRIED = "✓", "◐", "○", "–"
"""All points, some, none yet, not tried."""
_TRIES = 3
_SILENT_S = 1200.0
_MOST_HELD = 3
_WHY = {
    "of another day": "of another day (is that computer's clock right?)",
    "the room is full": "of one learner too many (the room is full)",
    "too many at once": "too many at once (one computer talks without end)",
    "unknown task": "of a task that this kit has not (is theirs another version?)",
}


@dataclass(frozen=True)
class Visit:
    """A learner to go to, and why, in words."""

    name: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Person:
    """A learner's row.

    Attributes:
        name: What they are called on the screen.
        ready: Whether the laptop is; None: not known.
        task: What they tried last; "" for nothing yet.
        marks: Lesson to one mark a task.
        heard: How long ago something was heard, in words.
        visit: Whether they stand among the visits too.
    """

    name: str
    ready: bool | None
    task: str
    marks: dict[str, str]
    heard: str
    visit: bool


@dataclass(frozen=True)
class Held:
    """A task that holds some up: how many, and the likeliest cause with its count, if any."""

    task: str
    count: int
    cause: tuple[str, int] | None


@dataclass(frozen=True)
class View:
    """All that is shown.

    Attributes:
        ready: How many laptops are ready, are not, and are not known.
        lessons: Lesson in play to how many have passed each of its tasks, by the task's last name.
        held: The tasks on which most are held up.
        visits: Where to go, the most pressing first.
        people: Everyone, by name.
        refused: What was refused, in words with what to do, and how often; the most first.
    """

    ready: tuple[int, int, int]
    lessons: dict[str, dict[str, int]]
    held: tuple[Held, ...]
    visits: tuple[Visit, ...]
    people: tuple[Person, ...]
    refused: tuple[tuple[str, int], ...]


def ago(seconds: float) -> str:
    """Give a time that has passed, in words."""
    minutes = int(max(0.0, seconds) // 60)
    if minutes < 1:
        return "now"
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"


def view(room: Room, now: float, stuck_s: float) -> View:
    """Give what is to be shown.

    Args:
        room: The room.
        now: The time, in s since 1970.
        stuck_s: How long after its first try a task counts as stuck, in s.
    """
    names, lessons = room.names(), room.lessons()
    found = {key: _urgent(learner, lessons, now, stuck_s) for key, learner in room.learners.items()}
    pressing = sorted((key for key in found if found[key]), key=lambda key: found[key][0][:2])
    people = [
        Person(
            names[key], None if one.lacking is None else not one.lacking, one.task or "",
            {lesson: "".join(_mark(one, task) for task in _tasks(lesson)) for lesson in lessons},
            ago(now - one.heard), bool(found[key]),
        )
        for key, one in room.learners.items()
    ]  # fmt: skip
    known = Counter(person.ready for person in people)
    everyone = list(room.learners.values())
    return View(
        (known[True], known[False], known[None]),
        {lesson: {task.partition(".")[2]: sum(one.passed(task) for one in everyone)
                  for task in _tasks(lesson)} for lesson in lessons},
        _held(everyone),
        tuple(Visit(names[key], tuple(words for _, _, words in found[key])) for key in pressing),
        tuple(sorted(people, key=lambda person: (person.name.casefold(), person.name))),
        tuple((_WHY.get(why, f"no message of ours ({why})"), count)
              for why, count in room.refused.most_common()),
    )  # fmt: skip


def _tasks(lesson: str) -> list[str]:
    return [name for name, task in TASKS.items() if task.lesson == lesson]


def _mark(learner: Learner, task: str) -> str:
    standing = learner.tasks.get(task)
    if standing is None:
        return UNTRIED
    return FULL if learner.passed(task) else PART if standing.points else NONE


def _urgent(
    learner: Learner, lessons: list[str], now: float, stuck_s: float
) -> list[tuple[int, float, str]]:
    """Give the reasons to go there: (kind, -s it has lasted, words), the most pressing first."""
    found = []
    if learner.lacking and not learner.worked:
        found.append((0, 0.0, f"not ready: {', '.join(learner.lacking)}"))
    standing = learner.tasks.get(learner.task or "")
    if standing is not None and standing.tries >= _TRIES and not learner.passed(learner.task or ""):
        lasted = now - standing.first
        if lasted >= stuck_s:
            cause = f"; likeliest: {standing.cause}" if standing.cause else ""
            words = f"{learner.task} for {_minutes(lasted)}, {standing.tries} tries{cause}"
            found.append((1, -lasted, words))
    silent = now - learner.heard
    if silent >= _SILENT_S and _work_left(learner, lessons):
        found.append((2, -silent, f"nothing heard for {_minutes(silent)}"))
    return found


def _work_left(learner: Learner, lessons: list[str]) -> bool:
    """Tell whether the learner's own lesson, or else any in play, has a task without all points."""
    own = [TASKS[learner.task].lesson] if learner.task else lessons
    return not all(learner.passed(task) for lesson in own for task in _tasks(lesson))


def _minutes(seconds: float) -> str:
    minutes = int(seconds // 60)
    return f"{minutes} minute{'' if minutes == 1 else 's'}"


def _held(everyone: list[Learner]) -> tuple[Held, ...]:
    found = []
    for task in TASKS:
        up = [
            one.tasks[task] for one in everyone
            if task in one.tasks and one.tasks[task].tries >= _TRIES and not one.passed(task)
        ]  # fmt: skip
        causes = Counter(standing.cause for standing in up if standing.cause)
        if up:
            found.append(Held(task, len(up), next(iter(causes.most_common(1)), None)))
    return tuple(sorted(found, key=lambda held: -held.count)[:_MOST_HELD])
