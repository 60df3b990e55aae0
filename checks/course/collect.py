"""Collect: from a folder of downloads to submissions, without losing one.

Learning platforms name what they hand to a teacher in many ways: the learner's id or name, a time,
the file's own name, joined by dashes or underscores, or a folder a learner with the file inside,
loose or in an archive.  So no pattern is asked for: a file belongs to the learner of the roster
whom the platform's part of its path names (see `owner`), and to the lesson whose name it bears.

Every file is kept as it came under `collected/`, with its time; `submitted/`, which nbgrader
reads, holds a copy of each learner's latest.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from robotsim import KitError

from ..faults import halting
from .arrived import Arrival, Left, arrivals, beside
from .classroom import roster_of, write_whole
from .lessons import LESSONS, find_lessons
from .owner import Owned, Owners, words_of
from .roster import Student

__all__ = ["COLLECTED", "SUBMITTED", "collect"]

COLLECTED, SUBMITTED = "collected", "submitted"


def collect(course: Path, downloads: Path, lessons: Path = LESSONS) -> Iterator[str]:
    """Take what was handed in from a folder of downloads, or from one archive.

    Args:
        course: The course folder.
        downloads: The folder or the archive.
        lessons: The folder of the lessons.

    Yields:
        A line for each file that was taken, and for each that was not, with the reason.

    Raises:
        KitError: There is nothing to collect from.
        HaltError: The course cannot be written to.
    """
    roster = roster_of(course)
    if not roster.students:
        raise KitError("The course has no roster.", where=str(course),
                       hint="`python -m checks course FOLDER --roster class.csv`")  # fmt: skip
    if not downloads.exists():
        raise KitError("There is nothing there to collect.", where=str(downloads),
                       hint="name the folder or the .zip that was downloaded.")  # fmt: skip
    ids = [lesson.id for lesson in find_lessons(lessons)]
    owners = Owners(roster, ids, beside(downloads))
    taken, known, left = 0, 0, 0
    for found in arrivals(downloads, owners.doubt):
        if isinstance(found, Left) and found.by_itself:
            yield f"passed over: {found.name}: {found.why}"
            continue
        told = _take(course, owners, ids, found) if isinstance(found, Arrival) else found.why
        if isinstance(told, str):
            left += 1
            yield f"left: {found.name}: {told}"
            continue
        owner, lesson, fresh = told
        taken, known = taken + fresh, known + (not fresh)
        if fresh:
            yield f"taken: {owner.id}, {lesson}, from {found.name}"
    yield f"{taken} taken, {known} were here already, {left} left for you to look at"


def _take(
    course: Path, owners: Owners, ids: Sequence[str], found: Arrival
) -> tuple[Student, str, bool] | str:
    """Keep one notebook: its owner, its lesson and whether it was new; or say why it is left."""
    owned = owners.whose(found.parts, found.files)
    if isinstance(owned, str):
        return owned
    lesson = _lesson(found.parts, ids)
    if lesson is None:
        return "no lesson stands in its name"
    try:
        return owned.student, lesson, _keep(course, owned, lesson, found)
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


def _keep(course: Path, owned: Owned, lesson: str, found: Arrival) -> bool:
    """Keep one file; tell whether it was new.  What is there is never overwritten."""
    shelf = course / COLLECTED / lesson / owned.student.id
    target = course / SUBMITTED / owned.student.id / lesson / f"{lesson}.ipynb"
    if target.is_file():  # brought here by other means, such as nbgrader's exchange
        earlier = target.with_name("timestamp.txt")
        when = _noted(earlier) or datetime.fromtimestamp(target.stat().st_mtime, UTC)
        _shelve(shelf, target.read_bytes(), when, sure=False)
    fresh = _shelve(shelf, found.data, owned.when or _came(owned, found),
                    sure=owned.when is not None)  # fmt: skip
    latest = max(shelf.glob("*.ipynb"), key=lambda path: path.name)
    when = datetime.strptime(latest.name[:19], "%Y-%m-%d-%H-%M-%S").replace(tzinfo=UTC)
    if not target.is_file() or target.read_bytes() != latest.read_bytes():
        write_whole(target, latest.read_bytes())
    write_whole(target.with_name("timestamp.txt"), f"{when:%Y-%m-%d %H:%M:%S} UTC\n".encode())
    return fresh


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


def _shelve(shelf: Path, data: bytes, when: datetime, *, sure: bool) -> bool:
    """Put a file beside the earlier ones, unless it is there; tell whether it was put.

    The same text may be handed in again after another one: where the time is `sure`, told by the
    name and not by a disk, it then counts as later.
    """
    name = f"{when:%Y-%m-%d-%H-%M-%S}_{hashlib.sha256(data).hexdigest()[:12]}.ipynb"
    kept = sorted(path.name for path in shelf.glob("*.ipynb"))
    same = [other for other in kept if other[19:] == name[19:]]
    if same and (not sure or name in same or kept[-1] in same):
        return False
    write_whole(shelf / name, data)
    return True


def _noted(path: Path) -> datetime | None:
    try:
        words = path.read_text(encoding="ascii").strip().removesuffix(" UTC")
        return datetime.strptime(words, "%Y-%m-%d %H:%M:%S").replace(tzinfo=UTC)
    except (OSError, ValueError):
        return None
