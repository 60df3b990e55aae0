"""Collect: from a folder of downloads to submissions, without losing one.

Learning platforms name what they hand to a teacher in many ways: the learner's id or name, a time,
the file's own name, joined by dashes or underscores, or a folder a learner with the file inside,
loose or in an archive.  So no pattern is asked for: a file belongs to the learner of the roster
whose id, e-mail or whole name stands in its path, and to the lesson whose name its file bears.

Every file is kept as it came under `collected/`, with its time; `submitted/`, which nbgrader
reads, holds a copy of each learner's latest.
"""

from __future__ import annotations

import hashlib
import io
import re
import unicodedata
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath

from robotsim import KitError

from .classroom import roster_of, write_whole
from .lessons import LESSONS, find_lessons
from .roster import Roster, Student

__all__ = ["COLLECTED", "SUBMITTED", "collect", "file_time"]

COLLECTED, SUBMITTED = "collected", "submitted"
_MOST_BYTES = 200 * 1024 * 1024
"""No file larger than this is unpacked: an archive may hold far more than it weighs."""
_MOST_FILES = 20_000
_DEEPEST = 3
_TIME = re.compile(
    r"(?<!\d)(20\d\d)[-_.]?(\d\d)[-_.]?(\d\d)(?:[-_. T]?(\d\d)[-_.:h]?(\d\d)(?:[-_.:m]?(\d\d))?)?"
    r"(?!\d)"
)


@dataclass(frozen=True)
class _Found:
    """One file that somebody may have handed in."""

    name: str
    data: bytes
    changed: datetime


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
    """
    roster = roster_of(course)
    if not roster.students:
        raise KitError("The course has no roster.", where=str(course),
                       hint="`python -m checks course FOLDER --roster class.csv`")  # fmt: skip
    if not downloads.exists():
        raise KitError("There is nothing there to collect.", where=str(downloads),
                       hint="name the folder or the .zip that was downloaded.")  # fmt: skip
    ids = [lesson.id for lesson in find_lessons(lessons)]
    taken, known, left = 0, 0, 0
    for found in _files(downloads):
        if isinstance(found, str):
            yield found
            left += 1
            continue
        owners, lesson = _owners(found.name, roster), _lesson(found.name, ids)
        if len(owners) != 1 or lesson is None:
            left += 1
            yield f"left: {found.name}: {_why(owners, lesson)}"
            continue
        fresh = _keep(course, owners[0], lesson, found)
        taken, known = taken + fresh, known + (not fresh)
        if fresh:
            yield f"taken: {owners[0].id}, {lesson}, from {found.name}"
    yield f"{taken} taken, {known} were here already, {left} left for you to look at"


def file_time(name: str) -> datetime | None:
    """Give the time that a file's name tells, taken for the time of this place, or None."""
    for part in reversed(PurePosixPath(name).parts):
        for found in _TIME.finditer(part):
            year, month, day, hour, minute, second = (int(n or 0) for n in found.groups())
            try:
                when = datetime(year, month, day, hour, minute, second)
            except ValueError:
                continue
            return when.astimezone(UTC)
    return None


def _files(place: Path) -> Iterator[_Found | str]:
    """Go through all notebooks in a folder or archive, those inside archives too."""
    paths = sorted(p for p in place.rglob("*") if p.is_file()) if place.is_dir() else [place]
    for path in paths:
        name = path.relative_to(place).as_posix() if place.is_dir() else path.name
        if path.is_symlink() or path.suffix.lower() not in (".ipynb", ".zip"):
            continue
        try:
            changed = datetime.fromtimestamp(path.stat().st_mtime, UTC)
            if path.stat().st_size > _MOST_BYTES:
                yield f"left: {name}: more than {_MOST_BYTES // 2**20} MB"
                continue
            data = path.read_bytes()
        except OSError as fault:
            yield f"left: {name}: it cannot be read ({fault.strerror or fault})"
            continue
        if path.suffix.lower() == ".zip":
            yield from _unpacked(name, data, 1)
        else:
            yield _Found(name, data, changed)


def _unpacked(name: str, data: bytes, depth: int) -> Iterator[_Found | str]:
    """Go through an archive in memory: nothing of it is ever laid on the disk by its own path."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for entry in archive.infolist()[:_MOST_FILES]:
                inner = f"{name}/{entry.filename}"
                kind = PurePosixPath(entry.filename).suffix.lower()
                if entry.is_dir() or kind not in (".ipynb", ".zip"):
                    continue
                if "__MACOSX" in entry.filename:  # another system's notes on the same files
                    continue
                if entry.file_size > _MOST_BYTES or (kind == ".zip" and depth >= _DEEPEST):
                    yield f"left: {inner}: too large, or too deep an archive"
                    continue
                with archive.open(entry) as stream:
                    content = stream.read(_MOST_BYTES + 1)
                if kind == ".zip":
                    yield from _unpacked(inner, content, depth + 1)
                else:
                    yield _Found(inner, content, datetime(*entry.date_time).astimezone(UTC))
    except (zipfile.BadZipFile, OSError, RuntimeError, NotImplementedError, ValueError,
            EOFError) as fault:  # fmt: skip
        yield f"left: {name}: the archive cannot be read ({fault})"


def _plain(text: str) -> str:
    """Give a text in small letters without accents, all else as single blanks."""
    letters = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("ø", "o"))
    bare = "".join(c for c in letters if not unicodedata.combining(c))
    return " ".join(re.split(r"[^a-z0-9]+", bare.lower())).strip()


def _owners(name: str, roster: Roster) -> list[Student]:
    """Give the learners whose file this may be: by id or e-mail, and by whole name."""
    whole = f" {_plain(name)} "
    sure = [s for s in roster.students if _names(whole, s.id) or _names(whole, s.email)]
    if len(sure) > 1:
        # "ann" stands in "ann-lee" too: the longest is meant.
        longest = max(len(_plain(s.id)) for s in sure)
        sure = [s for s in sure if len(_plain(s.id)) == longest]
    named = [
        s for s in roster.students
        if s.first_name and s.last_name and any(
            _names(whole, f"{a} {b}")
            for a, b in ((s.first_name, s.last_name), (s.last_name, s.first_name))
        )
    ]  # fmt: skip
    # An id may be somebody else's first name: who is meant is then for a person to say.
    return sure + [s for s in named if s not in sure]


def _names(whole: str, words: str) -> bool:
    plain = _plain(words)
    return bool(plain) and f" {plain} " in whole


def _lesson(name: str, ids: Sequence[str]) -> str | None:
    """Give the lesson that a path names: its file first, then its folders from the inside."""
    for part in reversed(PurePosixPath(name).parts):
        words = _plain(part).split()
        found = [word for word in words if word in ids]
        if found:
            return found[-1]
    return None


def _why(owners: Sequence[Student], lesson: str | None) -> str:
    if len(owners) > 1:
        return f"it may be of {' or of '.join(s.id for s in owners)}"
    if not owners:
        return "no learner of the roster stands in its name"
    return "no lesson stands in its name" if lesson is None else ""


def _keep(course: Path, owner: Student, lesson: str, found: _Found) -> bool:
    """Keep one file; tell whether it was new.  What is there is never overwritten."""
    shelf = course / COLLECTED / lesson / owner.id
    target = course / SUBMITTED / owner.id / lesson / f"{lesson}.ipynb"
    if target.is_file():  # brought here by other means, such as nbgrader's exchange
        earlier = target.with_name("timestamp.txt")
        when = _noted(earlier) or datetime.fromtimestamp(target.stat().st_mtime, UTC)
        _shelve(shelf, target.read_bytes(), when, sure=False)
    named = file_time(found.name)
    fresh = _shelve(shelf, found.data, named or found.changed, sure=named is not None)
    latest = max(shelf.glob("*.ipynb"), key=lambda path: path.name)
    when = datetime.strptime(latest.name[:19], "%Y-%m-%d-%H-%M-%S").replace(tzinfo=UTC)
    if not target.is_file() or target.read_bytes() != latest.read_bytes():
        write_whole(target, latest.read_bytes())
    write_whole(target.with_name("timestamp.txt"), f"{when:%Y-%m-%d %H:%M:%S} UTC\n".encode())
    return fresh


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
