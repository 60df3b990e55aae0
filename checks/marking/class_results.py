"""Class results: everything that a report on a class tells, read once from gradebook and notes."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from ..course.classroom import MARKED, OWN
from ..course.note import read_note, write_note
from ..course.open_course import OpenCourse
from ..course.roster import roster_of
from ..course.scores import Score, scores
from ..course.shelf import SUBMITTED
from ..room.spent import minutes_on_tasks
from ..shown import as_name
from ..whole import write_whole
from .looks import Look, looks, results_of
from .noted import faults_of
from .returned import headed
from .submitted import handed_out
from .waiting import Waiting, waiting

__all__ = ["ClassResults", "CriterionScore", "Person", "TaskView", "numbers_of", "read_results"]

Abouts = dict[tuple[str, str], dict[str, dict[str, Any]]]
"""What came of all checks: (learner, lesson) to cell to what came of it."""
_MOST_CAUSES = 3


@dataclass(frozen=True)
class Person:
    """One learner, as the report shows them.

    Attributes:
        id: The learner's id, or a number in an anonymous report.
        name: The name to show.
        first_name: May be empty, as it always is in an anonymous report.
        last_name: As before.
        email: As before.
    """

    id: str
    name: str
    first_name: str = ""
    last_name: str = ""
    email: str = ""


class CriterionScore(NamedTuple):
    """What one learner's program earned for one criterion, and what was measured."""

    learner: str
    lesson: str
    cell: str
    criterion: str
    points: float
    most: float
    measured: str
    asked: str


@dataclass(frozen=True)
class TaskView:
    """How a class did in one graded cell.

    Attributes:
        lesson: The lesson.
        cell: The cell.
        title: What it is called.
        most: Its points.
        shares: The share of its points of everyone who handed in and was marked, and of whom it is
            asked.
        failed: The criterion that most lost points in: its title and how many; None if none.
        causes: The likeliest misconceptions: name, a hint, and how many; the most frequent first.
        in_words: Whether it is a question that a person marks.
    """

    lesson: str
    cell: str
    title: str
    most: float
    shares: tuple[float, ...]
    failed: tuple[str, int] | None
    causes: tuple[tuple[str, str, int], ...]
    in_words: bool = False


@dataclass(frozen=True)
class ClassResults:
    """What is known of a class.

    Attributes:
        title: The course's name.
        people: The learners in order: those of the roster, or of the gradebook if there is none.
        lessons: The lessons in order, but for those that are not due yet and that nobody of whom
            they are asked has begun to hand in; of them only `scores` and `uncounted` tell.
        scores: All scores, as the gradebook has them.
        penalties: (learner, lesson) to the points taken off for being late, and the hours.
        faults: (learner, lesson) handed in and not marked, with the words.
        tasks: How the class did.
        looks: What deserves a look.
        criteria: What each criterion of each check gave.
        excused: (learner, lesson) that is not asked of this learner and counts for nothing, though
            it may have been handed in; see `uncounted`.
        protections: (name, on, by) of the last marking.
        minutes: Cell to the minutes that each laptop of the room spent on it (see `room.spent`).
        waiting: What was collected and is not marked yet, or by other rules than those of now.
        strangers: Who has handed in and is not in the roster; nothing above tells of them.
        never_came: (learner, lesson) to which a person gave points though nothing was handed in.
    """

    title: str
    people: tuple[Person, ...]
    lessons: tuple[str, ...]
    scores: tuple[Score, ...]
    penalties: dict[tuple[str, str], tuple[float, float]]
    faults: dict[tuple[str, str], str]
    tasks: tuple[TaskView, ...]
    looks: tuple[Look, ...]
    protections: tuple[tuple[str, bool, str], ...]
    criteria: tuple[CriterionScore, ...]
    excused: frozenset[tuple[str, str]] = frozenset()
    minutes: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    waiting: Waiting = field(default_factory=Waiting)
    strangers: tuple[str, ...] = ()
    never_came: frozenset[tuple[str, str]] = frozenset()

    @cached_property
    def called(self) -> dict[str, str]:
        """Each learner's name by the id; with the id in it where two are called so."""
        names = Counter(person.name for person in self.people)
        return {p.id: p.name if names[p.name] == 1 else f"{p.name} ({p.id})" for p in self.people}

    @cached_property
    def counting(self) -> tuple[Score, ...]:
        """The scores of what is asked: what is not says nothing of the class either."""
        return tuple(s for s in self.scores if (s.learner, s.lesson) not in self.excused)

    @cached_property
    def by_submission(self) -> dict[tuple[str, str], tuple[Score, ...]]:
        """(learner, lesson) to the scores of what was handed in."""
        found: dict[tuple[str, str], list[Score]] = defaultdict(list)
        for score in self.scores:
            if score.handed_in:
                found[score.learner, score.lesson].append(score)
        return {key: tuple(own) for key, own in found.items()}

    @cached_property
    def uncounted(self) -> dict[tuple[str, str], float]:
        """(learner, lesson) that was handed in and is not asked, to its points."""
        return {key: sum(s.points for s in own) for key, own in self.by_submission.items()
                if key in self.excused}  # fmt: skip


def read_results(course: Path, *, anonymous: bool = False) -> ClassResults:
    """Read everything that a report tells.

    Args:
        course: The course folder.
        anonymous: Give numbers in place of names, and none of the texts that programs wrote.
    """
    opened = OpenCourse(course)
    course = opened.course
    people, everybody = _people(opened)
    ours = {person.id for person in people}
    found = [s for s in scores(opened) if s.learner in ours]
    came = {(s.learner, s.lesson) for s in found if s.handed_in} | _noted(course)
    handed, collected = sorted(key for key in came if key[0] in ours), _collected(course)
    faults = {key: words for key, words in faults_of(course).items() if key[0] in ours}
    strangers = sorted({who for who, _ in collected} - ours)
    taken = {key for key in came | collected if key[0] in ours}
    excused = _excused(course, dict.fromkeys(s.lesson for s in found), taken)
    asked = {what for who, what in taken if (who, what) not in excused} | _past(course)
    found = [s for s in found if s.lesson in asked
             or s.handed_in and (s.learner, s.lesson) in excused]  # fmt: skip
    lessons = tuple(dict.fromkeys(s.lesson for s in found if s.lesson in asked))
    counting = [s for s in found if s.lesson in asked and (s.learner, s.lesson) not in excused]
    abouts = {key: results_of(course, *key)
              for key in dict.fromkeys((s.learner, s.lesson) for s in counting if s.handed_in)}
    told = ClassResults(
        course.name, people, lessons, tuple(found), _penalties(opened), faults,
        tuple(_tasks(course, abouts, counting)), tuple(looks(course, handed)), _protections(course),
        tuple(_criteria(abouts)), excused,
        {task.replace(".", "-"): spent for task, spent in minutes_on_tasks(course).items()},
        waiting(course), tuple(strangers),
        frozenset(key for key in handed if not _came(course, *key)),
    )  # fmt: skip
    if not anonymous:
        return told
    return _without_names(told, numbers_of(course, everybody))


def _collected(course: Path) -> set[tuple[str, str]]:
    """Give what lies in the course, marked or not."""
    folders = (path for path in (course / SUBMITTED).glob("*/*") if path.is_dir())
    return {(path.parent.name, path.name) for path in folders}


def _came(course: Path, learner: str, lesson: str) -> bool:
    """Tell whether something was handed in, be it that only what was marked of it is left."""
    return any((course / place / learner / lesson).is_dir() for place in (SUBMITTED, "autograded"))


def _noted(course: Path) -> set[tuple[str, str]]:
    """Give what was tried to be marked and is still there."""
    noted = ((p.parent.name, p.stem) for p in (course / OWN / MARKED).glob("*/*.json"))
    return {(who, what) for who, what in noted if (course / SUBMITTED / who / what).is_dir()}


def _people(opened: OpenCourse) -> tuple[tuple[Person, ...], list[str]]:
    """Give the class in the roster's order, or the gradebook's if there is none; all known ids."""
    with opened.gradebook() as book:
        known = {
            s.id: Person(
                s.id, as_name(" ".join(filter(None, (s.first_name, s.last_name)))) or s.id,
                as_name(s.first_name or ""), as_name(s.last_name or ""), s.email or "",
            )
            for s in book.students
        }  # fmt: skip
    order = [student.id for student in roster_of(opened.course).students] or [*known]
    return tuple(known[id] for id in order if id in known), [*known]


def _penalties(opened: OpenCourse) -> dict[tuple[str, str], tuple[float, float]]:
    found = {}
    with opened.gradebook() as book:
        for assignment in book.assignments:
            for one in book.assignment_submissions(assignment.name):
                off = sum(n.late_submission_penalty or 0.0 for n in one.notebooks)
                late = one.total_seconds_late / 3600
                if off or late:
                    found[one.student.id, assignment.name] = (off, late)
    return found


def _past(course: Path) -> set[str]:
    """Give the lessons of which the day for everybody has passed."""
    now = datetime.now(UTC)
    return {lesson for lesson, day in roster_of(course).due.items() if day <= now}


def _excused(
    course: Path, lessons: Iterable[str], taken: set[tuple[str, str]]
) -> frozenset[tuple[str, str]]:
    roster = roster_of(course)
    pairs = ((student, lesson) for student in roster.students for lesson in lessons)
    return frozenset((who.id, what) for who, what in pairs
                     if roster.excuses(who, what, handed_in=(who.id, what) in taken))  # fmt: skip


def _criteria(abouts: Abouts) -> Iterator[CriterionScore]:
    for (learner, lesson), cells in abouts.items():
        for cell, about in cells.items():
            for row in about.get("rows", ()):
                yield CriterionScore(learner, lesson, cell, row["title"], row["points"],
                                     row["most"], row["measured"], row["asked"])  # fmt: skip


def _tasks(course: Path, abouts: Abouts, found: Sequence[Score]) -> list[TaskView]:
    views, copies = [], {lesson: _copy(course, lesson) for lesson in {s.lesson for s in found}}
    for lesson, cell, most in dict.fromkeys((s.lesson, s.cell, s.most) for s in found):
        own = [s for s in found if (s.lesson, s.cell) == (lesson, cell) and s.handed_in]
        shares = tuple(s.points / most if most else 0.0 for s in own if not s.by_hand)
        results = [
            abouts[s.learner, lesson][cell] for s in own if cell in abouts[s.learner, lesson]
        ]
        titles, in_words = copies[lesson]
        title = next((a["title"] for a in results if "title" in a), titles.get(cell, cell))
        views.append(TaskView(lesson, cell, title, most, shares, _failed(results),
                              _causes(results), cell in in_words))  # fmt: skip
    return views


def _copy(course: Path, lesson: str) -> tuple[dict[str, str], set[str]]:
    """Give the headings above the cells that were handed out, and which of these are text."""
    cells = json.loads(handed_out(course, lesson))["cells"]
    return dict(headed(cells)), {one["metadata"].get("nbgrader", {}).get("grade_id", "")
                                 for one in cells if one["cell_type"] == "markdown"}  # fmt: skip


def _failed(results: Sequence[dict[str, Any]]) -> tuple[str, int] | None:
    lost = Counter(
        row["title"] for about in results for row in about.get("rows", ())
        if row["points"] < row["most"]
    )  # fmt: skip
    return lost.most_common(1)[0] if lost else None


def _causes(results: Sequence[dict[str, Any]]) -> tuple[tuple[str, str, int], ...]:
    causes = [about["cause"] for about in results if about.get("cause")]
    hints = {cause[0]: cause[2] for cause in reversed(causes)}
    counted = Counter(cause[0] for cause in causes).most_common(_MOST_CAUSES)
    return tuple((name, hints[name], count) for name, count in counted)


def _protections(course: Path) -> tuple[tuple[str, bool, str], ...]:
    try:
        plain = json.loads((course / OWN / "marking.json").read_text(encoding="utf-8"))
        return tuple((name, on, by) for name, on, by in plain["protections"])
    except (OSError, ValueError, KeyError):
        return ()


def numbers_of(course: Path, learners: Sequence[str]) -> dict[str, str]:
    """Give each learner a number that stays the same in this course and tells nothing.

    Who comes later gets the next free one, so that no page of last month's tells of somebody else.

    Raises:
        KitError: The note of them is damaged.
    """
    salt, note = course / OWN / "salt", course / OWN / "numbers.json"

    def read(told: Any) -> dict[str, int]:
        return {str(id): int(number) for id, number in told.items()}

    what, without = "The note of the learners' numbers", "or delete it: all are given anew"
    known: dict[str, int] = read_note(note, read, {}, what, without)
    if new := [id for id in learners if id not in known]:
        if not salt.is_file():
            write_whole(salt, secrets.token_hex(16).encode("ascii"))
        grain = salt.read_bytes()
        new.sort(key=lambda id: hashlib.sha256(grain + id.encode()).digest())
        free = max(known.values(), default=0) + 1
        known |= {id: number for number, id in enumerate(new, free)}
        write_note(note, known)
    return {id: f"learner-{known[id]:02}" for id in learners}


def _without_names(told: ClassResults, number: dict[str, str]) -> ClassResults:
    """Put numbers in the place of names, in the order of the numbers."""
    return replace(
        told,
        title="a class",
        people=tuple(sorted((Person(number[p.id], number[p.id]) for p in told.people),
                            key=lambda p: (len(p.id), p.id))),
        scores=tuple(s._replace(learner=number[s.learner]) for s in told.scores),
        criteria=tuple(c._replace(learner=number[c.learner], measured="") for c in told.criteria),
        excused=frozenset((number[who], what) for who, what in told.excused if who in number),
        waiting=Waiting(*(
            frozenset((number[who], what) for who, what in some if who in number)
            for some in (told.waiting.new, told.waiting.another, told.waiting.changed))),
        penalties={(number[who], what): p for (who, what), p in told.penalties.items()},
        never_came=frozenset((number[who], what) for who, what in told.never_came
                             if who in number),
        strangers=tuple(number.get(who, "?") for who in told.strangers),
        faults={(number.get(who, "?"), what): "a person has to look"
                for (who, what) in told.faults},
        looks=tuple(
            replace(
                look, learner=number.get(look.learner, "?"),
                words=_quiet(look),
                others=tuple(number.get(other, "?") for other in look.others),
            )
            for look in told.looks
        ),
    )  # fmt: skip


def _quiet(look: Look) -> str:
    """Give a look's words without what a learner's program may have written into them."""
    if look.kind in ("unread", "error", "by hand", "other tug"):  # a tug is somebody's
        return "the report with names has the words"
    return look.words.partition(":")[0] if look.kind == "near miss" else look.words
