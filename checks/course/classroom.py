"""Classroom: a course folder with its learners, its dates and what is handed out.

Everything that is made here can be made again; what a teacher wrote or a learner handed in is
never replaced.
"""

from __future__ import annotations

import hashlib
import io
import json
import secrets
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from robotsim import KitError
from robotsim.errors import nearest
from robotsim.locker import BOARDS

from ..faults import see_own_place
from ..whole import write_whole
from ..words import counted, listed
from .config import CONFIG, courses_near, is_course, make_course
from .lessons import LESSONS, Lesson, find_lessons
from .open_course import OpenCourse
from .release import BOARDS_NOTE, BOARDS_WORDS
from .roster import ROSTER, Roster, Student, read_roster, roster_of

__all__ = ["EACH", "MARKED", "OWN", "PACKS", "TABLES", "graded", "marked_on", "open_class"]

PACKS, EACH = "packs", "each"
OWN = ".quayside"
"""The folder in a course that holds our own notes."""
TABLES = "tables.json"
"""The note of which tables a course is marked on: {"variant": number}."""
MARKED = "marked"
"""The folder of what marking notes of each submission: LEARNER/LESSON.json."""
_MANY = 10**12

_DAY = (2026, 1, 1, 0, 0, 0)
_README = "READ ME.txt"
_WORDS = """\
Quayside: lessons to work in

1. On your own computer you need the kit first: quayside.zip, which your teacher gives you. Unpack
   it into a folder of its own. Where your class has a server, the kit is there already.
2. Unpack this file into another folder, such as quayside-lessons in your home folder.
3. In the kit's folder give the command: python3 lessons
   If your lessons lie elsewhere, say so behind it: python3 lessons --folder "where they are"
4. Work in the notebooks, in the order of their numbers.
5. Hand in the notebook itself (the file that ends with .ipynb); rename nothing in it.
"""
_TUG = """\
6. Your tug has a serial number, which your teacher tells you. Write it into a file called tug.json
   beside the notebooks, so: {"serial": 12}
"""
_OWN_TUG = """\
6. Your tug is number {serial}. Its card, tug.json, is here already: leave it beside the notebooks.
"""


def open_class(
    folder: Path, roster: Path | None = None, lessons: Path = LESSONS,
    ids: Sequence[str] | None = None,
) -> Iterator[str]:  # fmt: skip
    """Make a course folder with its class, or bring one up to date.

    Args:
        folder: The course folder.
        roster: The CSV file of the class; None for the one that is in the course.
        lessons: The folder of the lessons.
        ids: The lessons to hand out; None for all that are built.

    Yields:
        A plain line for each thing done.

    Raises:
        KitError: The roster is wrong, or the folder cannot be used.
    """
    source = roster or folder / ROSTER
    new = not is_course(folder)
    see_own_place(folder, CONFIG, "a class's work", given=source)
    if roster is None and not source.is_file():
        raise KitError(
            "A class needs its roster.", where=str(folder),
            hint="`--roster class.csv`, with a row `id,name,serial` and one for each learner.",
        )  # fmt: skip
    known = read_roster(source, [lesson.id for lesson in find_lessons(lessons)])
    make_course(folder, lessons)
    kept = _keep_roster(source, folder / ROSTER)
    opened = OpenCourse(folder)
    yield f"{folder}: {'new course' if new else 'course is there'}"
    yield from (f"look: {words}" for words in opened.doubtful)
    others = {one.name: one for one in courses_near(folder)} if new else {}
    if twin := nearest(folder.name, others):
        yield (f"look: there was a course of nearly the same name, {others[twin]}; if you meant "
               "that one, delete the new one")  # fmt: skip
    added, gone = _note_students(opened, known)
    yield f"{counted(len(known.students), 'learner')} in the roster, {added} of them new"
    yield from _shared_tugs(known)
    yield from _namesakes(known)
    yield from _one_address(known)
    if gone:
        yield f"No longer in the roster, kept with their scores: {', '.join(gone)}"
        yield "  Points count on where the row stays, with the day of leaving in a column `left`"
    if gone and added == len(known.students) and kept:
        yield (f"look: nobody who was in this course is in this roster: is it another class's? The "
               f"one from before is kept: {kept}; --roster takes it back")  # fmt: skip
    yield from _renamed(opened, known, gone)
    chosen = [
        lesson for lesson in find_lessons(lessons)
        if lesson.notebook.exists() and (ids is None or lesson.id in ids)
    ]  # fmt: skip
    for lesson in chosen:
        if graded(lesson) and _generate(opened, lesson):
            yield f"{lesson.id}: copy to hand out made"
    _note_days(opened, known)
    for name, day in known.due.items():
        yield f"{name}: to be handed in until {_said(day)}"
    if known.variant is not None:
        yield f"Everybody is marked on the tables of variant {known.variant}"
    for one in known.students:
        if terms := _own_terms(known, one):
            yield f"{one.id}: {terms}"
    lessons_pack = _zipped(_lesson_files(chosen))
    tugs = any(one.serial is not None for one in known.students)
    pack = folder / PACKS / f"{folder.resolve().name}.zip"
    write_whole(pack, _zipped({_README: (_WORDS + (_TUG if tugs else "")).encode()}, lessons_pack))
    yield f"To hand out: {pack}"
    for path in _outdated_packs(folder, known, gone):
        path.unlink()
        yield f"Taken away, since its learner has no tug here: {path}"
    own = _own_packs(folder, lessons_pack, known)
    if own:
        yield f"To hand out, {own} with the learner's own tug in it: {folder / PACKS / EACH}"


def marked_on(course: Path) -> Roster:
    """Give the class of a course, each learner with the tables on which programs are marked.

    Where the roster does not say which, they are held-out ones under a number that was drawn for
    this course, and that nobody can guess: what was recorded at home fits none of them.
    """
    found = roster_of(course)
    usual = _own_variant(course) if found.variant is None else found.variant
    students = tuple(
        one if one.variant is not None else replace(one, variant=usual) for one in found.students
    )
    return replace(found, students=students, variant=usual)


def _own_variant(course: Path) -> int:
    """Give the number of the course's tables, drawn when it is first asked for."""
    note = course / OWN / TABLES
    try:
        number = json.loads(note.read_text(encoding="ascii"))["variant"]
        if isinstance(number, int) and number >= 0:
            return number
    except (OSError, ValueError, KeyError, TypeError):
        pass
    number = 1 + secrets.randbelow(_MANY)
    write_whole(note, json.dumps({"variant": number}).encode("ascii"))
    return number


def graded(lesson: Lesson) -> bool:
    """Tell whether a lesson's notebook has cells that count."""
    plain = json.loads(lesson.notebook.read_text(encoding="utf-8"))
    return any(cell["metadata"].get("nbgrader", {}).get("grade") for cell in plain["cells"])


def _keep_roster(source: Path, own: Path) -> Path | None:
    """Put a roster into the course; give where the one from before is kept, if it was another."""
    data, kept = source.read_bytes(), None
    if own.is_file() and own.read_bytes() != data:
        stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H-%M-%S")
        kept = own.parent / OWN / "rosters" / f"{stamp}.csv"
        write_whole(kept, own.read_bytes())
    if source.resolve() != own.resolve():
        write_whole(own, data)
    return kept


def _said(day: datetime) -> str:
    return f"{day.astimezone():%Y-%m-%d %H:%M %Z}"


def _own_terms(roster: Roster, one: Student) -> str:
    """Give in words what holds for one learner alone."""
    terms = [f"{lesson} until {_said(day)}" for lesson, day in one.due.items()]
    terms += [f"{lesson} excused" for lesson in sorted(one.excused)]
    if one.joined:  # a day is kept as the last second before it
        terms.append(f"joined {_said(one.joined + timedelta(seconds=1))}")
    if one.left:
        terms.append(f"left {_said(one.left)}")
    if spared := [lesson for lesson in roster.due
                  if lesson not in one.excused and roster.excuses(one, lesson)]:  # fmt: skip
        terms.append(f"not asked: {', '.join(spared)}")
    if one.variant is not None:
        terms.append(f"marked on the tables of variant {one.variant}")
    return "; ".join(terms)


def _shared_tugs(roster: Roster) -> Iterator[str]:
    owners: dict[int, list[str]] = {}
    for one in roster.here:
        if one.serial is not None:
            owners.setdefault(one.serial, []).append(one.id)
    for serial, ids in owners.items():
        if len(ids) > 1:
            yield (f"look: {', '.join(ids)} have one tug, {serial}: what fits it fits all of them, "
                   "and `seats` and the radio need one each")  # fmt: skip


def _namesakes(roster: Roster) -> Iterator[str]:
    """Tell who are called the same: a platform's name for a file does not say whose it is."""
    called: dict[str, list[str]] = {}
    for one in roster.here:
        called.setdefault(" ".join(sorted(one.name.lower().split())), []).append(one.id)
    names = {one.id: one.name for one in roster.here}
    for ids in called.values():
        if len(ids) > 1:
            yield (f"look: {listed(ids)} are {'both' if len(ids) == 2 else 'all'} called "
                   f"{names[ids[0]]}: `collect` cannot tell them by their name")  # fmt: skip


def _one_address(roster: Roster) -> Iterator[str]:
    """Tell whose rows have the same e-mail address: by it nobody's file or row is found."""
    owners: dict[str, list[str]] = {}
    for one in roster.students:
        if one.email:
            owners.setdefault(one.email.lower(), []).append(one.id)
    for email, ids in owners.items():
        if len(ids) > 1:
            yield (f"look: the rows of {listed(ids)} have one e-mail address, {email}: `collect` "
                   "and `back` cannot tell them by it; is it a slip?")  # fmt: skip


def _renamed(opened: OpenCourse, roster: Roster, gone: Sequence[str]) -> Iterator[str]:
    """Tell whose id may have been changed: somebody who is new is called as one who is gone."""
    with opened.gradebook() as book:
        old = {one.id: (one.first_name or "", one.last_name or "", one.email or "")
               for one in book.students if one.id in gone}  # fmt: skip
        began = {one.id for one in book.students if book.student_submissions(one.id)}
    for one in roster.students:
        for id, person in old.items():
            own = (one.first_name, one.last_name, one.email)
            like = "the name and e-mail" if any(person) and person == own else ""
            if one.id.lower() == id.lower():
                like = "the letters"  # capitals are others, and its folders have the old ones
            if one.id not in began and like:
                yield (f"look: {one.id} has {like} of {id}: was the id changed? Put {id} back; its "
                       "points come with it")  # fmt: skip


def _note_students(opened: OpenCourse, roster: Roster) -> tuple[int, list[str]]:
    with opened.gradebook() as book:
        before = {student.id for student in book.students}
        for one in roster.students:
            # nbgrader's pages say "None" where one part of a name is not known.
            unknown = "" if one.first_name or one.last_name else None
            book.update_or_create_student(
                one.id, first_name=one.first_name or unknown, last_name=one.last_name or unknown,
                email=one.email or None,
            )  # fmt: skip
    now = {one.id for one in roster.students}
    return len(now - before), sorted(before - now)


def _note_days(opened: OpenCourse, roster: Roster) -> None:
    with opened.gradebook() as book:
        for assignment in book.assignments:
            day = roster.due.get(assignment.name)
            plain = day.replace(tzinfo=None) if day else None
            book.update_or_create_assignment(assignment.name, duedate=plain)


def _generate(opened: OpenCourse, lesson: Lesson) -> bool:
    """Make a lesson's release copy if the lesson is another than the last time."""
    note = opened.course / OWN / "released" / lesson.id
    mark = hashlib.sha256(lesson.notebook.read_bytes()).hexdigest()
    copy = opened.course / "release" / lesson.id / lesson.notebook.name
    if copy.is_file() and note.is_file() and note.read_text(encoding="ascii") == mark:
        return False
    opened.generate(lesson.id)
    write_whole(note, mark.encode("ascii"))
    return True


def _outdated_packs(folder: Path, roster: Roster, gone: Sequence[str]) -> list[Path]:
    """Give the packs of learners who are no longer there, or have no tug any more."""
    ids = [*gone, *(one.id for one in roster.students if one.serial is None)]
    packs = (folder / PACKS / EACH / f"{id}.zip" for id in ids)
    return [path for path in packs if path.is_file()]


def _own_packs(folder: Path, lessons_pack: bytes, roster: Roster) -> int:
    """Give each learner who has a tug of the learner's own a pack with its card; count them."""
    tugs = [one for one in roster.students if one.serial is not None]
    for one in tugs:
        words = _WORDS + _OWN_TUG.format(serial=one.serial)
        card = json.dumps({"serial": one.serial})
        data = _zipped({_README: words.encode(), "tug.json": card.encode()}, lessons_pack)
        write_whole(folder / PACKS / EACH / f"{one.id}.zip", data)
    return len(tugs)


def _lesson_files(lessons: Sequence[Lesson]) -> dict[str, bytes]:
    """Give all copies of a class by their names."""
    from .copies import learner_copy

    files = {f"{BOARDS}/{BOARDS_NOTE}": BOARDS_WORDS.encode()}
    for lesson in lessons:
        files[lesson.file] = learner_copy(lesson.notebook.read_bytes(), lesson)
    return files


def _zipped(files: Mapping[str, bytes], whole: bytes = b"") -> bytes:
    """Put files into an archive, behind what it holds; the same files make the same archive."""
    data = io.BytesIO(whole)
    with zipfile.ZipFile(data, "a", zipfile.ZIP_DEFLATED) as pack:
        for name, content in files.items():
            pack.writestr(zipfile.ZipInfo(name, _DAY), content, zipfile.ZIP_DEFLATED)
    return data.getvalue()
