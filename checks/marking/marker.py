"""Marker: marks a whole class, several submissions at once, and can be stopped at any time.

Two kinds of work: reading files and running checks, which is most of it, goes to workers, here or
on other machines; entering the scores, by nbgrader's own classes, is done here one after the
other.  What workers find is kept at once, and a submission counts as marked only when its scores
are in the gradebook, so that whatever ends this process costs at most what was under way.

Who is not in the class's roster, or has left, keeps what was marked, whatever has changed since.

A fault is no result: what could not be marked, wholly or in part, is tried again each time and told
each time, until it can be, or until a person has given the points.  What would spoil every other
submission too, such as a full disk, ends the command (`faults`).
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, as_completed
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path

from robotsim import KitError
from robotsim.notebook import OWN_SERIAL

from ..alone import alone
from ..course.classroom import OWN, marked_on
from ..course.lessons import see_lesson
from ..course.open_course import OpenCourse
from ..course.roster import Roster, is_id, meant_learner, roster_of
from ..course.shelf import SUBMITTED
from ..faults import halting
from ..shown import rows_of
from ..whole import put_back, write_whole
from .by_hand import given_by_hand, keep_looked_at, leave_to_person, looked_at
from .noted import is_settled, state_of, write_fault, write_state
from .pool import LocalPool, Pool
from .progress import Progress
from .requests import Request, requests_of
from .store import Store
from .submitted import Submission, handed_out, submissions

__all__ = ["Marked", "mark"]

Task = tuple[str, Request]


@dataclass
class Marked:
    """What marking a class did.

    Attributes:
        done: How many submissions were marked; one that could not be read is none of them.
        unchanged: How many were marked before and have not changed since.
        for_you: (learner, lesson, words) of those that a person has to look at.
        strangers: Who has handed in and is not in the roster: nothing of theirs is touched.
        left: Who has left and would have been marked anew: what was marked stays.
        protections: (name, on, by): what the programs were kept from.
        doubtful: What a person should know of the course's settings.
    """

    done: int = 0
    unchanged: int = 0
    for_you: list[tuple[str, str, str]] = field(default_factory=list)
    strangers: set[str] = field(default_factory=set)
    left: set[str] = field(default_factory=set)
    protections: list[tuple[str, bool, str]] = field(default_factory=list)
    doubtful: list[str] = field(default_factory=list)


def mark(
    course: Path, *, lessons: Sequence[str] = (), learners: Sequence[str] = (),
    again: bool = False, pool: Pool | None = None, progress: Callable[[int], Progress] = Progress,
    tell: Callable[[list[tuple[str, bool, str]]], object] | None = None,
) -> Marked:  # fmt: skip
    """Mark what was handed in and has changed since it was marked.

    Args:
        course: The course folder.
        lessons: Which lessons; all if none is named.
        learners: Which learners; all if none is named. Who has left is marked anew by name only.
        again: Mark also what has not changed.
        pool: Who reads and checks; None for a worker for each of this machine's cores.
        progress: Makes what shows how far it is, from the number of submissions.
        tell: Is called with what programs are kept from, before any is run.

    Returns:
        What was done; whatever is wrong with one submission is told there and stops no other.

    Raises:
        KitError: The course cannot be marked at all, or programs cannot be kept in here.
        HaltError: It cannot be marked further; what is done stays done.
        KeyboardInterrupt: Somebody stopped it, with words on what is done.
    """
    opened = OpenCourse(course)
    learners = _known(opened, lessons, learners)
    with _alone(opened.course), pool or LocalPool() as hands:
        found = Marked(doubtful=opened.doubtful)
        todo = list(_todo(opened, found, lessons, learners, again))
        if todo:
            found.protections = hands.look()
            if tell is not None:
                tell(found.protections)
        bar = progress(len(todo))
        store = Store(opened.course)
        roster = marked_on(opened.course)
        # Handed to the pool in small shares, so that finished ones are entered while others run.
        try:
            for submission, future in _under_way(todo, store, hands):
                entered, words = _enter(opened, roster, submission, future)
                found.done += entered
                if words:
                    found.for_you.append((submission.learner, submission.lesson, words))
                    bar.say(f"  for you: {submission.name}: {rows_of(words)[0]}")
                bar.step(submission.name)
        except KeyboardInterrupt:
            bar.say("Stopping ...")  # workers take some seconds to end
            raise KeyboardInterrupt(f"{found.done} of {len(todo)} are marked and stay so; the same "
                                    "command goes on.") from None  # fmt: skip
        bar.end()
        _note(opened.course, found)
    return found


def _known(opened: OpenCourse, lessons: Sequence[str], learners: Sequence[str]) -> list[str]:
    """See that all that is to be marked is there by name; give the learners' ids.

    Raises:
        UnknownNameError: There is no such lesson or learner in this course.
    """
    with opened.gradebook() as book:
        taught = {assignment.name for assignment in book.assignments}
    handed = {path.name for path in (opened.course / SUBMITTED).glob("*") if path.is_dir()}
    roster = roster_of(opened.course)
    known = handed | {student.id for student in roster.students}
    meant = [meant_learner(name, known, roster) for name in learners]
    for name in lessons:
        see_lesson(name, taught, known)
    return meant


def _alone(course: Path) -> AbstractContextManager[None]:
    """Hold the course, so that two never mark it at once."""
    return alone(course / OWN / "lock.db", lambda: KitError(
        "The course is being marked already.", where=str(course),
        hint="wait for the other one to end."))  # fmt: skip


def _todo(
    opened: OpenCourse, found: Marked, lessons: Sequence[str], learners: Sequence[str], again: bool
) -> Iterator[Submission]:
    """Go through what is to be marked; what cannot be goes to the person at once."""
    with opened.gradebook() as book:
        known = {assignment.name for assignment in book.assignments}
    roster = marked_on(opened.course)
    for one in submissions(opened.course, roster):
        learner, lesson = one[:2] if isinstance(one, tuple) else (one.learner, one.lesson)
        if (lessons and lesson not in lessons) or (learners and learner not in learners):
            continue
        if roster.lacks(learner) and is_id(learner):
            found.strangers.add(learner)
        elif not again and is_settled(opened.course, learner, lesson):
            found.unchanged += 1
        elif isinstance(one, tuple):
            found.for_you.append(one)
            write_fault(opened.course, *one)
        elif lesson not in known:
            found.for_you.append((learner, lesson, f"This course has no lesson {lesson!r}."))
        elif not again and _is_marked(opened, one):
            found.unchanged += 1
        elif (not learners and roster.as_marked(learner).has_left
                and _is_marked(opened, one, gone=True)):  # fmt: skip
            found.left.add(learner)
        else:
            yield one


def _is_marked(opened: OpenCourse, one: Submission, *, gone: bool = False) -> bool:
    """Tell whether the scores of a submission as it is now are in the gradebook, all of them.

    Of somebody who is gone it is enough that this file was marked, under whatever kit and dates.
    """
    state = state_of(opened.course, one.learner, one.lesson)
    place = opened.course / "autograded" / one.learner / one.lesson / f"{one.lesson}.ipynb"
    try:
        same = "fault" not in state and (
            state.get("content", one.content) == one.content if gone
            else state.get("mark") == one.mark(opened.course)
        )  # fmt: skip
    except (KitError, OSError):
        return False  # marking it tells why
    return same and place.is_file() and all(
        given_by_hand(opened, one, cell) for cell in state.get("faults", ())
    )  # fmt: skip


@dataclass
class _Prepared:
    """What the pool found for one submission."""

    notes: list[str]
    asked: list[Task]
    faults: dict[str, str]
    tug: int | None


def _under_way(
    todo: Sequence[Submission], store: Store, hands: Pool
) -> Iterator[tuple[Submission, Future[_Prepared]]]:
    """Have submissions prepared, and give each when it is."""
    ahead = max(4, 3 * hands.size)
    waiting = iter(todo)
    under_way: dict[Future[_Prepared], Submission] = {}
    while True:
        for one in waiting:
            under_way[hands.submit(_prepare, one, store, hands)] = one
            if len(under_way) >= ahead:
                break
        if not under_way:
            return
        future = next(as_completed(under_way))
        yield under_way.pop(future), future


def _prepare(one: Submission, store: Store, hands: Pool) -> _Prepared:
    """Read one submission and run its checks; called in a thread of the pool's.

    Raises:
        KitError: It cannot be read.
    """
    pattern = handed_out(store.course, one.lesson)
    data = one.file.read_bytes()
    head, plain = hands.notebook(store, data, pattern, one.lesson)
    sources = {
        cell["metadata"]["nbgrader"]["grade_id"]: "".join(cell["source"])
        for cell in json.loads(pattern)["cells"] if "nbgrader" in cell["metadata"]
    }  # fmt: skip
    asked = [
        (cell["metadata"]["nbgrader"]["grade_id"], request)
        for cell, request in requests_of(
            json.loads(plain)["cells"], sources, one.serial, one.variant
        )
    ]
    shown = {request: head["seen"].get(name, "") for name, request in asked}
    faults = hands.results(store, shown)
    faulty = {name: faults[request] for name, request in asked if request in faults}
    return _Prepared(head["notes"], asked, faulty, head["tug"])


def _enter(
    opened: OpenCourse, roster: Roster, one: Submission, future: Future[_Prepared]
) -> tuple[bool, str]:
    """Enter one submission's scores; tell whether they are, and the words for a person, or ""."""
    try:
        mark, content = one.mark(opened.course), one.content
        found = future.result()
        # nbgrader deletes the marked copy before it begins, and with it what a person looked at.
        copy = opened.course / "autograded" / one.learner / one.lesson
        spare = opened.course / OWN / "under way" / one.learner / one.lesson
        with put_back(copy, spare), opened.entry():
            _extend(opened, roster, one)
            before = looked_at(opened, one)
            opened.autograde(one.lesson, one.learner)
            gone = keep_looked_at(opened, one, before)
            if found.faults:
                leave_to_person(opened, one, found.faults)
    except Exception as fault:
        if halt := halting(fault, one.file.parent):
            raise halt from fault
        words = str(fault) if isinstance(fault, KitError) else _unforeseen(fault)
        write_fault(opened.course, one.learner, one.lesson, words)
        return False, words
    state = {
        "mark": mark, "content": content, "notes": found.notes, "faults": found.faults,
        "checks": {name: request.mark for name, request in found.asked},
        "programs": {name: json.loads(request.files) for name, request in found.asked},
        "tugs": [found.tug, OWN_SERIAL if one.serial is None else one.serial],
    }  # fmt: skip
    write_state(opened.course, one.learner, one.lesson, state)
    told = [f"{name}: {words}" for name, words in found.faults.items()]
    told += [f"{old.cell}: the points given by hand ({old.before:g}) were for an earlier file, and "
             "count no more; `appeal` gives them again" for old in gone]  # fmt: skip
    return True, "\n".join(told)


def _unforeseen(fault: Exception) -> str:
    """Tell of a kind of fault that nobody has thought of: it costs this submission, no other."""
    what = f"It cannot be marked: {type(fault).__name__}: {' '.join(str(fault).split())[:300]}"
    return str(KitError(what, hint="look into the file; tell whoever looks after the kit."))


def _extend(opened: OpenCourse, roster: Roster, one: Submission) -> None:
    """Give a learner the time of the learner's own, as nbgrader notes it."""
    student = roster.find(one.learner)
    own, usual = (who.due.get(one.lesson) if who else None for who in (student, roster))
    if usual is None:
        return
    with opened.gradebook() as book:
        book.update_or_create_student(one.learner)
        submission = book.update_or_create_submission(one.lesson, one.learner)
        submission.extension = own - usual if own else None
        book.db.commit()


def _note(course: Path, found: Marked) -> None:
    """Note for the report how the programs were confined the last time."""
    if found.protections:
        plain = {"protections": found.protections, "cores": os.cpu_count()}
        write_whole(course / OWN / "marking.json", json.dumps(plain).encode("utf-8"))
