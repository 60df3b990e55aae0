"""Back: points and feedback, in the shape in which a learning platform takes them."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

from robotsim import KitError

from ..course.classroom import PACKS, write_whole
from ..course.desk import Desk
from ..course.platform import column_of, filled, read_export
from ..course.shelf import came_of
from ..whole import whole_file
from .class_results import read_results
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
    desk = Desk(course)
    told, given = read_results(desk.course), read_export(export)
    known = {id.lower(): id for id in given.ids if id}
    points: dict[str, dict[str, float]] = {}
    missing, strange = [], {*known.values()}
    for person in told.people:
        id = known.get(person.id.lower())
        if id is None:
            missing.append(person.name)
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
    titles = {lesson: _title(desk.course, lesson) for lesson in told.lessons}
    target = desk.course / PACKS / f"points-{export.stem}{'.xlsx' if given.book else '.csv'}"
    write_whole(target, filled(given, points, titles))
    yield f"{sum(map(len, points.values()))} scores filled in: {target}"
    new = [titles[lesson] for lesson in told.lessons
           if any(lesson in own for own in points.values())
           and column_of(given.rows[0], lesson, titles[lesson]) is None]  # fmt: skip
    if new:
        yield f"New columns at the end, since no heading has title or id: {', '.join(new)}"
    waiting = sorted({s.lesson for s in told.scores if s.by_hand})
    if waiting:
        yield f"Answers still wait to be marked by hand, and count 0 so far: {', '.join(waiting)}"
    if missing:
        yield f"In the course, not in the list: {', '.join(missing)}"
    if strange:
        names = (" ".join(filter(None, given.people[id][:2])) or id
                 for id in given.ids if id in strange)  # fmt: skip
        yield f"In the list, not in the course, left as they were: {', '.join(names)}"
    yield from (f"look: {words}" for words in given.doubtful)
    for lesson in told.lessons:
        packed = _pack(desk.course, lesson)
        if packed:
            yield f"{lesson}: feedback in the platform's folders: {packed}"


def _title(course: Path, lesson: str) -> str:
    cells = json.loads((course / "release" / lesson / f"{lesson}.ipynb").read_bytes())["cells"]
    heads = (row[2:].strip() for cell in cells if cell["cell_type"] == "markdown"
             for row in "".join(cell["source"]).split("\n") if row.startswith("# "))  # fmt: skip
    return next(heads, lesson)


def _pack(course: Path, lesson: str) -> Path | None:
    """Put a lesson's pages into the folders that the platform had for its learners."""
    files = [(place, file) for file in sorted((course / "feedback").glob(f"*/{lesson}/*"))
             if file.suffix in (".html", ".recording")
             and (place := came_of(course, lesson, file.parts[-3]))]  # fmt: skip
    if not files:
        return None
    path = course / PACKS / f"feedback-{lesson}-by-platform.zip"
    with whole_file(path) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as pack:
        for place, file in files:
            pack.write(file, f"{place}/{file.name}")
    return path
