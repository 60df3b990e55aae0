"""Back: points and feedback, in the shape in which a learning platform takes them."""

from __future__ import annotations

import json
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from pathlib import Path

from robotsim import KitError

from ..course.classroom import OWN, PACKS
from ..course.open_course import OpenCourse
from ..course.owner import words_of
from ..course.platform import Export, column_of, filled, read_export
from ..course.shelf import came_of, mark_of
from ..whole import put_aside, whole_file, write_whole
from ..words import listed
from .class_results import Person, read_results
from .pages import page_files
from .report_page import points_of

__all__ = ["back"]


def back(course: Path, export: Path) -> Iterator[str]:
    """Fill a platform's own list of the class with points, and pack feedback by its folders.

    Args:
        course: The course folder.
        export: The list, as the platform gave it.

    Yields:
        A line for each file that is written, and for whoever is not in the list.

    Raises:
        KitError: The list cannot be read, or nobody of the class is in it.
    """
    opened = OpenCourse(course)
    told, given = read_results(opened.course), read_export(export)
    known = {id.lower(): id for id in given.ids if id}
    by_name = _by_name(told.people, given)
    known |= {own.lower(): id for own, id in by_name.items()}
    points: dict[str, dict[str, float]] = {}
    missing, strange = [], {*known.values()}
    for person in told.people:
        id = known.get(person.id.lower())
        if id is None:
            missing.append(told.called[person.id])
            continue
        strange.discard(id)
        points[id] = {
            lesson: found - told.penalties.get((person.id, lesson), (0.0, 0.0))[0]
            for lesson in told.lessons if (person.id, lesson) not in told.excused
            and (found := points_of(told, person.id, lesson)) is not None
        }  # fmt: skip
    if not points:
        raise KitError("Nobody of this class is in the list.", where=str(export),
                       hint="give the list of which the roster was made.")  # fmt: skip
    titles = {lesson: _title(opened.course, lesson) for lesson in told.lessons}
    target = opened.course / PACKS / f"points-{export.stem}{'.xlsx' if given.book else '.csv'}"
    yield from _keep(opened.course, target, filled(given, points, titles))
    yield f"{sum(map(len, points.values()))} scores filled in: {target}"
    new = [titles[lesson] for lesson in told.lessons
           if any(lesson in own for own in points.values())
           and column_of(given.rows[0], lesson, titles[lesson]) is None]  # fmt: skip
    if new:
        yield f"New columns at the end, since no heading has title or id: {', '.join(new)}"
    called = told.called
    for lesson in told.lessons:
        waiting = dict.fromkeys(s.learner for s in told.counting
                                if s.by_hand and s.lesson == lesson)  # fmt: skip
        if waiting:
            yield (f"{lesson}: tasks still wait to be marked by hand, and count 0 so far: "
                   f"{', '.join(called[id] for id in waiting)}")  # fmt: skip
    yield from told.waiting.lines(called)
    if told.waiting.changed:
        yield f"look: {told.waiting.told_of_changes}"
    for (id, lesson), had in told.uncounted.items():
        yield (f"{lesson}: {called[id]} has {had:g} points that do not count, since the lesson "
               "is not asked: see `excused`, `joined` and `left` in the roster")  # fmt: skip
    if by_name:
        whose = ", ".join(f"{called[own]} ({own})" for own in by_name)
        yield f"look: found by e-mail or name, since no id of the course stands there: {whose}"
    if missing:
        yield f"In the course, not in the list: {', '.join(missing)}"
    gone = _gone(opened, told.people, given, strange)
    for words, some in (("No longer in the roster, so left as they were in the list", gone),
                        ("In the list, not in the course, left as they were", strange - gone)):
        if some:
            yield f"{words}: {', '.join(_called(given, id) for id in given.ids if id in some)}"
    yield from (f"look: {words}" for words in given.doubtful)
    for lesson in told.lessons:
        yield from _pack(opened.course, lesson, called)


def _by_name(people: Sequence[Person], given: Export) -> dict[str, str]:
    """Give whose rows bear no id of the course and one learner's e-mail or name: id to the row's.

    Nobody is meant by what two are called, nor by a name beside another e-mail.
    """
    ids = {person.id.lower() for person in people}
    rows = {id: given.people[id] for id in given.ids if id and id.lower() not in ids}
    there = {id.lower() for id in given.ids}
    own = {p.id: (p.first_name, p.last_name, p.email) for p in people if p.id.lower() not in there}

    def called(one: tuple[str, str, str]) -> tuple[str, ...]:
        return tuple(sorted(words_of(f"{one[0]} {one[1]}")))

    def same(one: tuple[str, str, str], other: tuple[str, str, str]) -> bool:
        emails = {one[2].lower(), other[2].lower()} - {""}
        alike = len(emails) == 1 and bool(one[2] and other[2])
        return alike or len(emails) < 2 and bool(called(one)) and called(one) == called(other)

    found = {id: [row for row, it in rows.items() if same(one, it)] for id, one in own.items()}
    meant = Counter(row for some in found.values() for row in some)
    return {id: some[0] for id, some in found.items() if len(some) == 1 and meant[some[0]] == 1}


def _gone(
    opened: OpenCourse, people: Sequence[Person], given: Export, strange: Set[str]
) -> set[str]:
    """Give which rows of strangers are of who was in the class once, by id, e-mail or name."""
    ours = {person.id for person in people}
    with opened.gradebook() as book:
        once = [Person(s.id, s.id, s.first_name or "", s.last_name or "", s.email or "")
                for s in book.students if s.id not in ours]  # fmt: skip
    ids = {one.id.lower() for one in once}
    found = {id for id in strange if id.lower() in ids} | {*_by_name(once, given).values()}
    return found & strange


def _called(given: Export, id: str) -> str:
    return " ".join(filter(None, given.people[id][:2])) or id


def _title(course: Path, lesson: str) -> str:
    cells = json.loads((course / "release" / lesson / f"{lesson}.ipynb").read_bytes())["cells"]
    heads = (row[2:].strip() for cell in cells if cell["cell_type"] == "markdown"
             for row in "".join(cell["source"]).split("\n") if row.startswith("# "))  # fmt: skip
    return next(heads, lesson)


def _keep(course: Path, target: Path, data: bytes) -> Iterator[str]:
    """Write a filled list; one that somebody has changed since is kept, and it is told where."""
    note = course / OWN / "given back" / f"{target.name}.txt"
    ours = note.read_text("ascii") if note.is_file() else ""
    changed = target.exists() and mark_of(target.read_bytes()) not in (ours, mark_of(data))
    kept = put_aside(target) if changed else None
    write_whole(target, data)
    write_whole(note, mark_of(data).encode("ascii"))
    if kept:
        yield f"What you changed in the last one is kept: {kept}"


def _pack(course: Path, lesson: str, called: Mapping[str, str]) -> Iterator[str]:
    """Put a lesson's pages into the platform's folders for its learners; tell whose have none."""
    pages = page_files(course, lesson)
    strangers = [learner for learner in pages if learner not in called]
    ours = [learner for learner in pages if learner in called]
    came = {who: place for who in ours if (place := came_of(course, lesson, who))}
    owners = Counter(came.values())
    known = {who: place for who, place in came.items() if owners[place] == 1}
    for place in (one for one, count in owners.items() if count > 1):
        names = listed([called[who] for who in came if came[who] == place])
        yield (f"look: {lesson}: {place!r} is a folder of {names}, and no page of one goes to "
               "another: `collect --assign` says whose it is")  # fmt: skip
    if ours:
        words = f"{lesson}: {len(known)} of {len(ours)} pages of feedback"
        if known:
            path = course / PACKS / f"feedback-{lesson}-by-platform.zip"
            with whole_file(path) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as pack:
                for learner, place in known.items():
                    for file in pages[learner]:
                        pack.write(file, f"{place}/{file.name}")
            words += f" in the platform's folders: {path}"
        yield words if known else f"{words} came in a folder of the platform"
    if others := [called[who] for who in ours if who not in known]:
        yield (f"{lesson}: no folder known for: {', '.join(others)}; their pages are in "
               f"{course / PACKS / f'feedback-{lesson}.zip'}")  # fmt: skip
    if strangers:
        yield (f"{lesson}: not in the roster, so their pages are left out: "
               f"{', '.join(strangers)}")  # fmt: skip
