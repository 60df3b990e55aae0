"""Edition: a copy of the kit for learners, without solutions, mark schemes and right programs.

It starts like the kit itself (`python3 lessons`).  The lessons in it are the copies that are handed
out; of their sources only the openings, with title and aims, are left.  Tests, with their right
programs, the teacher's pages and the demo, which hands in solutions, are not in it.  What is in it
is listed here, so that nothing new gets in by itself.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from pathlib import Path

from robotsim import KitError

from ..whole import whole_file
from .copies import learner_copy
from .lessons import LESSONS, ROOT, find_lessons
from .marked import marked_as_copy

__all__ = ["edition", "kit_files"]

_FILES = ("LICENSE", "README.md", "environment.yml", "pyproject.toml", "lessons/__main__.py",
          "lessons/under-way.png")  # fmt: skip
_PACKAGES = ("robotsim", "checks")
_KINDS = {".py", ".js", ".css", ".html", ".svg", ".json", ".md", ".typed", ".png"}
_NOT = ("checks/course/paper", "checks/demo", "checks/hub/back", "checks/hub/cloud",
        "checks/hub/machine", "checks/hub/write", "checks/marking", "checks/site")
"""Of the packages, what a teacher alone needs."""
_NAME = "quayside"
_DAY = (2026, 1, 1, 0, 0, 0)
_REST = "\nThis is the learners' edition: the rest of the lesson is in its notebook.\n"


def edition(target: Path, lessons: Path = LESSONS) -> Iterator[str]:
    """Write the learners' edition.

    Args:
        target: A folder, into which `quayside.zip` is put, or the archive itself.
        lessons: The folder of the lessons.

    Yields:
        A line that says what was written.

    Raises:
        KitError: The lessons are not built, or this is a learners' edition itself.
    """
    if target.suffix != ".zip":
        target = target / f"{_NAME}.zip"
    missing = [name for name in _FILES if not (ROOT / name).is_file()]
    if missing or not (ROOT / "checks" / "marking").is_dir():
        raise KitError("An edition is made of a whole kit.", where=str(ROOT),
                       hint=f"missing: {', '.join(missing) or 'checks/marking'}.")  # fmt: skip
    count = 0
    with whole_file(target) as part, zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, data in _content(lessons):
            count += 1
            pack.writestr(zipfile.ZipInfo(f"{_NAME}/{name}", _DAY), data, zipfile.ZIP_DEFLATED)
    yield f"{count} files, without solutions, mark schemes and right programs: {target}"
    yield "Learners unpack it and start `python3 lessons` in its folder."


def _content(lessons: Path) -> Iterator[tuple[str, bytes]]:
    """Give the files of an edition: the same for the same kit."""
    for name in _FILES:
        yield name, (ROOT / name).read_bytes()
    yield from kit_files()
    for lesson in find_lessons(lessons):
        if not lesson.notebook.is_file():
            raise KitError(f"The lesson {lesson.id!r} is not built.", where=str(lesson.notebook),
                           hint="`python3 checks build` makes it.")  # fmt: skip
        opening = lesson.source.read_text(encoding="utf-8").partition("\n## ")[0]
        yield f"lessons/{lesson.id}.md", f"{opening}\n{_REST}".encode()
        copy = learner_copy(lesson.notebook.read_bytes(), lesson)
        yield f"lessons/{lesson.id}/{lesson.id}.ipynb", marked_as_copy(copy)


def kit_files() -> Iterator[tuple[str, bytes]]:
    """Give the files of the two packages that a learner needs."""
    for package in _PACKAGES:
        for path in sorted((ROOT / package).rglob("*")):
            name = path.relative_to(ROOT).as_posix()
            if path.suffix in _KINDS and path.is_file() and not name.startswith(_NOT):
                yield name, path.read_bytes()
