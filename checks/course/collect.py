"""Collect: from a folder of downloads to submissions, without losing one.

Learning platforms name what they hand to a teacher in many ways: the learner's id or name, a time,
the file's own name, joined by dashes or underscores, or a folder a learner with the file inside,
loose or in an archive.  So no pattern is asked for: a file belongs to the learner of the roster
whom the platform's part of its path names (see `owner`), and to the lesson whose name it bears, or
of which its cells are.  The learners' own folders and nbgrader's exchange are places like others.

Every file is kept as it came, and the latest that is work counts (see `shelf`).  Whatever cannot be
told is listed once, and `assign` lets a person say it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from robotsim import KitError, UnknownNameError
from robotsim.errors import nearest

from ..faults import halting, see_there
from .arrived import Arrival, Left, arrivals, beside
from .classroom import roster_of
from .content import is_the_lesson_itself, lesson_inside
from .exchange import inbound, somebody_elses
from .lessons import LESSONS, find_lessons
from .owner import Owned, Owners, words_of
from .roster import Roster, unknown_learner
from .said import Place, Said, said_of, write_said
from .shelf import COLLECTED, SUBMITTED, Shelf, mark_of
from .withdrawn import forget

__all__ = ["COLLECTED", "SUBMITTED", "assign", "collect"]

_MOST_TOLD = 20
"""So many files of other kinds are told one by one; a home folder holds thousands."""


def collect(course: Path, downloads: Path, lessons: Path = LESSONS) -> Iterator[str]:
    """Take what was handed in from a folder of downloads, or from one archive.

    Args:
        course: The course folder.
        downloads: The folder or the archive; the learners' home folders; nbgrader's exchange.
        lessons: The folder of the lessons.

    Yields:
        A line for each file that was taken, and for each that was not, with the reason.

    Raises:
        KitError: There is nothing to collect from.
        HaltError: The course cannot be written to.
    """
    roster, ids, place = _asked(course, downloads, lessons)
    owners = Owners(roster, ids, beside(place))
    taken, known, left = 0, 0, 0
    said = said_of(course)
    looks: dict[Place, str] = {}
    others: Counter[str] = Counter()
    for found in arrivals(place, owners.doubt):
        if isinstance(found, Left) and found.by_itself:
            yield f"passed over: {found.name}: {found.why}"
            continue
        told = _take(course, place, owners, ids, found, said)
        if told is None:
            known += 1
        elif isinstance(told, str):
            left += 1
            others["no notebook"] += told.startswith("no notebook")
            if not told.startswith("no notebook") or others["no notebook"] <= _MOST_TOLD:
                yield f"left: {found.name}: {told}"
        else:
            learner, lesson, fresh, looks[learner, lesson] = told
            taken, known = taken + fresh, known + (not fresh)
            if fresh:
                yield f"taken: {learner}, {lesson}, from {found.name}"
    if others["no notebook"] > _MOST_TOLD:
        yield f"left: {others['no notebook'] - _MOST_TOLD} more files that are no notebooks"
    # What is to be looked at is told each time, until it is so no more.
    yield from (f"look: {who}, {what}: {words}" for (who, what), words in looks.items() if words)
    how = "; --assign FILE LEARNER LESSON says whose one is" if left else ""
    yield f"{taken} taken, {known} were here already, {left} left for you to look at{how}"


def assign(
    course: Path, downloads: Path, file: str, learner: str, lesson: str, lessons: Path = LESSONS
) -> Iterator[str]:
    """Take one file as a person says; it counts, whatever it holds, and nowhere else.

    Args:
        course: The course folder.
        downloads: Where it was collected from.
        file: Its path there, as a line of `collect` gives it, within archives too.
        learner: Whose it is.
        lesson: Of which lesson it is.
        lessons: The folder of the lessons.

    Yields:
        A line that says what was done, and others where the file was taken for something else.

    Raises:
        KitError: There is no such file.
        UnknownNameError: There is no such learner or lesson.
    """
    roster, ids, place = _asked(course, downloads, lessons)
    student = roster.find(learner)
    if student is None:
        raise unknown_learner(learner, {one.id for one in roster.students}, roster)
    if lesson not in ids:
        raise UnknownNameError("lesson", lesson, ids)
    found = _named(place, file, downloads)
    mark, belongs = mark_of(found.data), (student.id, lesson)
    said, owners = said_of(course), Owners(roster, ids, beside(place))
    placed = _placed(place, owners, ids, found)
    by_itself = None if isinstance(placed, str) else (placed[0].student.id, placed[1])
    before = said.get((mark, by_itself), by_itself)
    shelf = Shelf(course, student.id, lesson)
    outer = next((when for when in found.times if when), None)
    shelf.add(found.data, outer or datetime.now(UTC), sure=False)
    again = shelf.choose(shelf.named(found.data)) and before == belongs
    shelf.settle()
    write_said(course, {**said, (mark, by_itself): belongs})
    yield (f"{'here already' if again else 'taken'}: {student.id}, {lesson}, from {found.name}, "
           "as you say")  # fmt: skip
    if before is not None and before != belongs:
        yield from _withdrawn(course, *before, found.data)


def _named(place: Path, file: str, downloads: Path) -> Arrival:
    """Give the notebook of this path.

    Raises:
        KitError: There is none.
    """
    if Path(file).is_absolute() and Path(file).is_relative_to(place):
        file = Path(file).relative_to(place).as_posix()
    names = []
    for one in arrivals(place, lambda parts, files: ""):
        if isinstance(one, Arrival):
            if one.name == file:
                return one
            names.append(one.name)
    guess = nearest(file, names)
    raise KitError(
        f"There is no notebook {file!r} there.", where=str(downloads),
        hint=f"did you mean {guess!r}?" if guess else
             "give its path as the line of `collect` has it.",
    )  # fmt: skip


def _withdrawn(course: Path, learner: str, lesson: str, data: bytes) -> Iterator[str]:
    """Take a file away from where it does not belong, with what was made of it."""
    if not Shelf(course, learner, lesson).withdraw(data):
        return
    yield f"taken away: {learner}, {lesson}: the same file"
    if not (course / SUBMITTED / learner / lesson).exists():
        given = forget(course, learner, lesson) if (course / "gradebook.db").is_file() else {}
        points = ", ".join(f"{cell} {points:g}" for cell, points in given.items())
        yield (f"{learner}, {lesson}: nothing is handed in now"
               + (f"; points that were given by hand: {points}" if points else ""))  # fmt: skip


def _asked(course: Path, downloads: Path, lessons: Path) -> tuple[Roster, list[str], Path]:
    """Give the class, the lessons and the place to collect from."""
    see_there(course)
    roster = roster_of(course)
    if not roster.students:
        raise KitError("The course has no roster.", where=str(course),
                       hint="`python3 checks course FOLDER --roster class.csv`")  # fmt: skip
    if not downloads.exists():
        raise KitError("There is nothing there to collect.", where=str(downloads),
                       hint="name the folder or the .zip that was downloaded.")  # fmt: skip
    ids = [lesson.id for lesson in find_lessons(lessons)]
    return roster, ids, inbound(downloads, course.resolve().name)


def _placed(
    place: Path, owners: Owners, ids: Sequence[str], found: Arrival
) -> tuple[Owned, str] | str:
    """Give whose a notebook is by itself, and of which lesson; or why that cannot be told."""
    owned = owners.whose(found.parts, found.files)
    if isinstance(owned, str):
        return owned
    if owned.by_exchange and (other := somebody_elses(place / found.parts[0], owned.student.id)):
        return f"it bears the name of {owned.student.id}, and {other} has put it there"
    if is_the_lesson_itself(found.data):
        return "it is the lesson itself, with its solutions, and nobody's work"
    lesson = _lesson(found.parts, ids) or lesson_inside(found.data, ids)
    return (owned, lesson) if lesson else "no lesson stands in its name, and its cells are of none"


def _take(
    course: Path, place: Path, owners: Owners, ids: Sequence[str], found: Arrival | Left, said: Said
) -> tuple[str, str, bool, str] | str | None:
    """Keep one notebook: whose, lesson, whether it was new, what to know; or why it is left.

    None is for one of which a person has said that it belongs elsewhere, where it is already.
    """
    if isinstance(found, Left):
        return found.why
    placed = _placed(place, owners, ids, found)
    if isinstance(placed, str):
        return None if (mark_of(found.data), None) in said else placed
    owned, lesson = placed
    here = (owned.student.id, lesson)
    if said.get((mark_of(found.data), here), here) != here:
        return None
    shelf = Shelf(course, *here)
    try:
        fresh = bool(shelf.add(found.data, owned.when or _came(owned, found),
                               sure=owned.when is not None))  # fmt: skip
        if owned.level not in found.files and not owned.by_exchange:
            shelf.note_folder(found.parts[owned.level])
        return *here, fresh, shelf.settle()
    except OSError as fault:
        if halt := halting(fault):
            raise halt from fault
        return f"it cannot be kept ({fault.strerror or fault})"


def _lesson(parts: Sequence[str], ids: Sequence[str]) -> str | None:
    """Give the lesson that a path names: its file first, then its folders from the inside."""
    for part in reversed(parts):
        found = [word for word in words_of(part) if word in ids]
        if found:
            return found[-1]
    return None


def _came(owned: Owned, found: Arrival) -> datetime:
    """Give when a file came, as far as no learner can have set the time.

    The outermost file within the learner's part of the path has its time from the platform; what an
    archive inside tells of its entries is the learner's own.
    """
    outer: datetime | None = None
    extra = len(found.times) - len(found.files)  # the archive that was named in the command
    for place, when in zip((*([-1] * extra), *found.files), found.times, strict=True):
        outer = when or outer
        if place >= owned.level:
            break
    return outer or datetime.now(UTC)
