"""Assign: what a person says of files that came, done all or not at all."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

from robotsim import KitError, UnknownNameError
from robotsim.errors import nearest

from .arrived import Arrival, Left, arrivals, beside
from .collect import asked, by_itself, placed, titles
from .content import lesson_inside
from .lessons import LESSONS
from .owner import Owners
from .roster import Roster, meant_learner
from .said import Place, folders_of, said_of, write_folders, write_said
from .shelf import SUBMITTED, Shelf, mark_of
from .withdrawn import forget

__all__ = ["Order", "assign"]

Order = tuple[str, str, str]
"""A file's path in the downloads, as a line of `collect` has it; whose it is; of which lesson."""


def assign(
    course: Path, downloads: Path, orders: Sequence[Order], lessons: Path = LESSONS
) -> Iterator[str]:
    """Take files as a person says; each counts, whatever it holds, and nowhere else.

    Args:
        course: The course folder.
        downloads: Where they were collected from.
        orders: What is said.
        lessons: The folder of the lessons.

    Yields:
        A line for each, and others where a file was taken for something else or looks like it.

    Raises:
        KitError: There is no such file, learner or lesson; then nothing is done of any order.
    """
    roster, ids, place = asked(course, downloads, lessons)
    folders = folders_of(course)
    owners = Owners(roster, ids, beside(place), folders, titles(lessons))
    wanted = {_path_in(place, file) for file, _, _ in orders}
    outer = {name.partition("/")[0] for name in wanted}
    there: dict[str, Arrival | Left] = {}
    said = said_of(course)
    lies: dict[str, Place | None] = {}
    marks: dict[str, str] = {}
    for one in arrivals(place, lambda parts, files: ""):
        if one.name in wanted or isinstance(one, Arrival) and one.parts[0] in outer:
            there[one.name] = one
        if isinstance(one, Arrival):
            mark = marks[one.name] = mark_of(one.data)
            here = by_itself(placed(place, owners, ids, one), mark, said)
            lies[one.name] = said.get((mark, here), here)
    ready: list[tuple[Arrival, Place]] = []
    for file, learner, lesson in orders:
        try:
            belongs = _belongs(roster, ids, learner, lesson)
            found = there.get(_path_in(place, file))
            if not isinstance(found, Arrival):
                own = [name for name, now in lies.items() if now in (None, belongs)]
                raise _no_notebook(file, found, own, downloads)
        except KitError as fault:
            if len(orders) == 1:
                raise
            raise KitError(f"{fault.what}\nNone of the {len(orders)} files was assigned.",
                           where=fault.where, hint=fault.hint) from fault  # fmt: skip
        ready.append((found, belongs))
    for found, belongs in ready:
        kept = {}
        for name in _note_folder(course, folders, ids, owners, found, belongs, lies):
            one, now = there[name], lies[name]
            if isinstance(one, Arrival) and now:  # nobody's folder now, so it may go elsewhere
                kept[marks[name], by_itself(placed(place, owners, ids, one), marks[name], {})] = now
        write_said(course, {**said_of(course), **kept})
        goes = by_itself(placed(place, owners, ids, found), marks[found.name], said_of(course))
        names = {mark: name for name, mark in marks.items()}
        yield from _take(course, found, goes, lies[found.name], belongs, names)
        inside = lesson_inside(found.data, ids)
        if inside not in (None, belongs[1]):
            yield f"look: {', '.join(belongs)}: the cells of {found.name} are of {inside}"


def _note_folder(
    course: Path, folders: dict[str, str], ids: Sequence[str], owners: Owners, found: Arrival,
    belongs: Place, lies: Mapping[str, Place | None],
) -> list[str]:  # fmt: skip
    """Note whose the platform's folder is in which a file came, as far as it holds no other one.

    Of one that holds others nobody has said whose they are; what was noted of it is taken back
    where a file in it turns out to be somebody else's.  What came in it so far stays where it lies.

    Returns:
        What lies in a folder that is nobody's any more.
    """
    level = owners.folder_of(found.parts, found.files)
    if level is None:
        return []
    folder, inside = found.parts[level], "/".join(found.parts[: level + 1]) + "/"
    beside_it = [name for name in lies if name.startswith(inside)]
    before, alone = folders.get(folder, belongs[0]), len(beside_it) == 1
    if alone:
        folders[folder] = belongs[0]
        Shelf(course, *belongs).note_folder(folder)
    elif before != belongs[0]:
        del folders[folder]
    write_folders(course, folders)
    if before == belongs[0]:
        return []
    for lesson in ids:  # nothing goes back to another's folder
        Shelf(course, before, lesson).forget_folder(folder)
    return [] if alone else beside_it


def _path_in(place: Path, file: str) -> str:
    if Path(file).is_absolute() and Path(file).is_relative_to(place):
        return Path(file).relative_to(place).as_posix()
    return file


def _belongs(roster: Roster, ids: Collection[str], learner: str, lesson: str) -> Place:
    """Give where a file belongs.

    Raises:
        UnknownNameError: There is no such learner or lesson.
    """
    known = meant_learner(learner, {one.id for one in roster.students}, roster)
    if lesson not in ids:
        raise UnknownNameError("lesson", lesson, ids)
    return known, lesson


def _no_notebook(
    file: str, found: Left | None, names: Collection[str], downloads: Path
) -> KitError:
    """Say why there is no notebook of this path; only what nobody else has may have been meant."""
    if found is not None:
        return KitError(f"{file!r} cannot be assigned: {found.why}.", where=str(downloads),
                        hint="give a notebook; its name ends in .ipynb.")  # fmt: skip
    guess = nearest(file, names)
    return KitError(
        f"There is no notebook {file!r} there.", where=str(downloads),
        hint=f"did you mean {guess!r}?" if guess else
             "give its path as the line of `collect` has it.",
    )  # fmt: skip


def _take(
    course: Path, found: Arrival, goes: Place | None, before: Place | None, belongs: Place,
    names: Mapping[str, str],
) -> Iterator[str]:  # fmt: skip
    """Take one file to where it belongs, and away from where it lay before.

    Args:
        course: The course folder.
        found: The file.
        goes: Where it would go by itself from now on.
        before: Where it lay.
        belongs: Where it belongs.
        names: The paths of all files that are there, by their marks.
    """
    mark, said = mark_of(found.data), said_of(course)
    shelf = Shelf(course, *belongs)
    counted = shelf.counts()
    outer = next((when for when in found.times if when), None)
    shelf.add(found.data, outer or datetime.now(UTC), sure=False)
    again = shelf.choose(shelf.named(found.data)) and before == belongs
    shelf.settle()
    write_said(course, {**said, (mark, goes): belongs})
    other = "" if counted in ("", mark) else names.get(counted, "another one")
    yield (f"{'here already' if again else 'taken'}: {', '.join(belongs)}, from {found.name}, "
           f"as you say{f'; it counts now in the place of {other}' if other else ''}")  # fmt: skip
    if before is not None and before != belongs:
        yield from _withdrawn(course, *before, found.data)


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
