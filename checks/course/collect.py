"""Collect: from a folder of downloads to submissions, without losing one.

Learning platforms name what they hand to a teacher in many ways: the learner's id or name, a time,
the file's own name, joined by dashes or underscores, or a folder a learner with the file inside,
loose or in an archive.  So no pattern is asked for: a file belongs to the learner of the roster
whom the platform's part of its path names (see `owner`), and to the lesson whose name it bears, or
of which its cells are.  The learners' own folders and nbgrader's exchange are places like others.

Every file is kept as it came, and the latest that is work counts (see `shelf`).  Whatever cannot be
told is listed once, and a person may say it (see `assign`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from robotsim import KitError

from ..faults import halting, see_there
from .arrived import Arrival, Left, arrivals, beside
from .config import is_course, no_course
from .content import is_the_lesson_itself, lesson_inside
from .exchange import inbound, sent, somebody_elses
from .lessons import LESSONS, find_lessons
from .owner import Owned, Owners, words_of
from .roster import Roster, roster_of
from .said import Place, Said, folders_of, said_of
from .shelf import COLLECTED, Shelf, mark_of

__all__ = ["asked", "by_itself", "collect", "placed", "titles"]

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
    roster, ids, place = asked(course, downloads, lessons)
    owners = Owners(roster, ids, beside(place), folders_of(course), titles(lessons))
    taken, known, left = 0, 0, 0
    said = said_of(course)
    looks: dict[Place, str] = {}
    seen = _Seen()
    others: Counter[str] = Counter()
    for found in arrivals(place, owners.doubt):
        if isinstance(found, Left) and found.by_itself:
            yield f"passed over: {found.name}: {found.why}"
            continue
        told = _take(course, place, owners, ids, found, said, seen)
        if told is None:
            known += 1
        elif isinstance(told, str):
            left += 1
            others["no notebook"] += told.startswith("no notebook")
            if not told.startswith("no notebook") or others["no notebook"] <= _MOST_TOLD:
                yield f"left: {found.name}: {told}"
        else:
            here, news, looks[here] = told
            taken, known = taken + bool(news), known + (not news)
            if news:
                yield news
    if others["no notebook"] > _MOST_TOLD:
        yield f"left: {others['no notebook'] - _MOST_TOLD} more files that are no notebooks"
    # What is to be looked at is told each time, until it is so no more.
    for here, words in looks.items():
        lines = [words, *seen.told(here, Shelf(course, *here))]
        yield from (f"look: {', '.join(here)}: {line}" for line in lines if line)
    none = others["no notebook"]
    how = f", {none} of them no {'notebook' if none == 1 else 'notebooks'}" if none else ""
    how += "; --assign FILE LEARNER LESSON says whose one is" if left > none else ""
    yield f"{taken} taken, {known} were here already, {left} left for you to look at{how}"


def asked(course: Path, downloads: Path, lessons: Path) -> tuple[Roster, list[str], Path]:
    """Give the class, the lessons and the place to collect from.

    Raises:
        KitError: There is no class, or nothing to collect from.
    """
    see_there(course)
    roster = roster_of(course)
    if not roster.students and not is_course(course):
        raise no_course(course, downloads)
    if not roster.students:
        raise KitError("The course has no roster.", where=str(course),
                       hint="`python3 checks course FOLDER --roster class.csv`")  # fmt: skip
    if downloads.resolve() == course.resolve():
        raise KitError("This is the course itself, and nothing was downloaded into it.",
                       where=str(downloads), hint="behind the course name the folder or the .zip "
                       "that was downloaded.")  # fmt: skip
    if not downloads.exists():
        raise KitError("There is nothing there to collect.", where=str(downloads),
                       hint="name the folder or the .zip that was downloaded.")  # fmt: skip
    ids = [lesson.id for lesson in find_lessons(lessons)]
    return roster, ids, inbound(downloads, course.resolve().name)


def titles(lessons: Path) -> list[str]:
    """Give what the lessons are called: an exercise on a platform may be called so as well."""
    return [lesson.title for lesson in find_lessons(lessons)]


def placed(
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
    if not lesson and not found.data.strip():
        return "it is empty, and no lesson stands in its name"
    return (owned, lesson) if lesson else "no lesson stands in its name, and its cells are of none"


def by_itself(told: tuple[Owned, str] | str, mark: str, said: Said) -> Place | None:
    """Give where a file goes without a person's word on it, as `said` has it; None for nowhere.

    What was said of it before its folder was known holds on.
    """
    if isinstance(told, str) or told[0].by_word and (mark, None) in said:
        return None
    return told[0].student.id, told[1]


@dataclass
class _Seen:
    """What one call has seen of the files that it took, now or before.

    Attributes:
        came: A file's mark to its path in the downloads.
        doubted: A place and a mark to the time in the file's name, where that does not count.
        strays: A place and a mark to the lesson of which the file's cells are, if it is another.
    """

    came: dict[str, str] = field(default_factory=dict)
    doubted: dict[tuple[Place, str], datetime] = field(default_factory=dict)
    strays: dict[tuple[Place, str], str] = field(default_factory=dict)

    def note(self, here: Place, mark: str, doubted: datetime | None, inside: str | None) -> None:
        """Note what a person should know of one file that nobody has assigned."""
        if doubted:
            self.doubted[here, mark] = doubted
        if inside not in (None, here[1]):
            self.strays[here, mark] = str(inside)

    def told(self, here: Place, shelf: Shelf) -> Iterator[str]:
        """Say it of one place: of what counts its time, of an older one its lesson."""
        counts, when = shelf.counts(), shelf.came()
        says = self.doubted.get((here, counts))
        if says and when and says != when:
            yield (f"{self.came[counts]} has a time in its name, {_clock(says)}, as most names "
                   "beside it have not: it may be its learner's own, so the file's own time "
                   f"counts, {_clock(when)}")  # fmt: skip
        for (place, mark), inside in self.strays.items():
            if place == here and mark != counts and shelf.is_late(shelf.named_by(mark)):
                yield (f"{self.came[mark]}, an older one than what counts, is kept, and its cells "
                       f"are of {inside}")  # fmt: skip


def _clock(when: datetime) -> str:
    return f"{when.astimezone():%Y-%m-%d %H:%M}"


def _take(
    course: Path, place: Path, owners: Owners, ids: Sequence[str], found: Arrival | Left,
    said: Said, seen: _Seen,
) -> tuple[Place, str, str] | str | None:  # fmt: skip
    """Keep one notebook: where, a line if it is new, what to know; or why it is left.

    None is for one of which a person has said that it belongs elsewhere, where it is already, and
    for one that was taken while its learner was in the class.
    """
    if isinstance(found, Left):
        return found.why
    mark, told = mark_of(found.data), placed(place, owners, ids, found)
    if isinstance(told, str):
        known = (mark, None) in said or _of_leaver(course, found.parts[0], mark)
        return None if known else told
    owned, lesson = told
    here = (owned.student.id, lesson)
    if said.get((mark, by_itself(told, mark, said)), here) != here:
        return None
    seen.came[mark] = found.name
    shelf = Shelf(course, *here)
    try:
        name = shelf.add(found.data, owned.when or _came(owned, found),
                         sure=owned.when is not None)  # fmt: skip
        if owned.level not in found.files and not owned.by_exchange:
            shelf.note_folder(found.parts[owned.level])
        look = shelf.settle(seen.came)
        if said.get((mark, by_itself(told, mark, said))) != here:
            seen.note(here, mark, owned.doubted, lesson_inside(found.data, ids))
        news = f"taken: {', '.join(here)}, from {found.name}" if name else ""
        if name and shelf.is_late(name):
            news += ": kept; an older one than what counts"
        return here, news, look
    except OSError as fault:
        if halt := halting(fault):
            raise halt from fault
        return f"it cannot be kept ({fault.strerror or fault})"


def _of_leaver(course: Path, folder: str, mark: str) -> bool:
    """Tell whether a file of the exchange was taken before, when its learner had a row."""
    mine = sent(folder)
    return mine is not None and any(
        path.parent.name.lower() == mine[0].lower()
        for path in (course / COLLECTED).glob(f"*/*/*_{mark}.ipynb")
    )


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
