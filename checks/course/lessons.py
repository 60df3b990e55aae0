"""Lessons: where they are, their order and their names.

Needs the standard library only, so that looking whether anything has to be done takes no time.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from robotsim import KitError, UnknownNameError

__all__ = [
    "LESSONS", "ORDER", "ROOT", "Lesson", "find_lessons", "pick_lessons", "place_of", "see_lesson",
]  # fmt: skip

ROOT = Path(__file__).resolve().parent.parent.parent
"""The checkout."""

LESSONS = ROOT / "lessons"
"""Sources and notebooks; nbgrader's source directory."""

ORDER = (
    "start", "lamps", "drive", "arm", "line", "turn", "radio", "powerup", "harbour", "board",
)  # fmt: skip
"""The lessons from first to last.  A lesson's number is its place here, whether or not those before
it are in the folder, so that a learner's file keeps its name when others are added."""


@dataclass(frozen=True)
class Lesson:
    """One lesson.

    Attributes:
        id: Its id, which is also its assignment's and its notebook's name in nbgrader.
        folder: The folder that holds all lessons.
        title: The first heading of its source.
    """

    id: str
    folder: Path
    title: str

    @property
    def source(self) -> Path:
        """The text that is written by hand."""
        return self.folder / f"{self.id}.md"

    @property
    def notebook(self) -> Path:
        """The notebook that is made of it, solutions and outputs in it."""
        return self.folder / self.id / f"{self.id}.ipynb"

    @property
    def file(self) -> str:
        """The name of a learner's copy.

        It carries the lesson's number, since a learner's file browser sorts by name and would
        otherwise offer "arm" and "board" first.
        """
        number = f"{ORDER.index(self.id)}-" if self.id in ORDER else ""
        return f"{number}{self.id}.ipynb"


def find_lessons(folder: Path = LESSONS) -> list[Lesson]:
    """Give all lessons of a folder in order; those without a place in the order come last.

    Raises:
        KitError: A source has no heading.
    """
    sources = (path for path in folder.glob("*.md") if path.stem == path.stem.lower())
    found = [Lesson(path.stem, folder, _title(path)) for path in sources]
    return sorted(found, key=lambda lesson: (place_of(lesson.id), lesson.id))


def pick_lessons(ids: Sequence[str], folder: Path = LESSONS) -> list[Lesson]:
    """Give the lessons with these ids, all if none is given.

    Raises:
        UnknownNameError: There is no such lesson.
    """
    known = {lesson.id: lesson for lesson in find_lessons(folder)}
    for name in ids:
        if name not in known:
            raise UnknownNameError("lesson", name, known)
    return [lesson for lesson in known.values() if not ids or lesson.id in ids]


def see_lesson(
    name: str, taught: Collection[str], learners: Collection[str], what: str = "lesson"
) -> None:
    """See that a lesson is there by name; a learner's in its place wants an option before it.

    Raises:
        UnknownNameError: It is none of those that are taught.
    """
    if name not in taught:
        hint = f"{name} is a learner: --learner {name}" if name in learners else ""
        raise UnknownNameError(what, name, taught, hint)


def place_of(lesson: str) -> int:
    """Give a lesson's place in the order; those that have none share the last."""
    return ORDER.index(lesson) if lesson in ORDER else len(ORDER)


def _title(source: Path) -> str:
    for line in source.read_text(encoding="utf-8").splitlines():
        if line.startswith("# "):
            return line[2:].strip()
    raise KitError(
        "A lesson begins with its title as a heading.",
        where=f"{source.name}, line 1",
        hint="write a line such as `# Lamps`.",
    )
