"""Progress: how far a learner is, read from the notebooks in their folder and from nothing else.

What a notebook shows is what will be handed in, so there is no second account to keep in step. It
is no mark either: marking runs the programs again.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..course.content import lesson_inside
from ..course.lessons import LESSONS, Lesson, find_lessons
from ..course.programs import not_as_checked, text_of, with_programs
from ..course.regions import ANSWER
from ..task import Task
from ..tasks import TASKS

__all__ = ["GONE", "HIDDEN", "POINTS", "RENAMED", "Asked", "Progress", "go_on", "look"]

POINTS = (
    "The points are what your saved notebooks show, no marks: marking runs your programs again, and"
    " an answer in words has points that only a person gives."
)
"""What stands on a home page about them."""
RENAMED = "{file} is not here. “{other}” seems to be it: rename it back to {file}"
HIDDEN = (
    "{file} is not begun, but “{other}” holds work on it, which is not handed in: give {file} any"
    " other name, and then “{other}” the name {file}"
)
GONE = "{file} is not here: begin it anew"
"""What is said of a lesson whose work does not lie where it belongs."""

_CHECK = re.compile(r'check\("([A-Za-z0-9_.]+)"\)')
_MINUTES = re.compile(r"\b(\d+(?: to \d+)?) minutes")


@dataclass(frozen=True)
class Asked:
    """One thing that a lesson asks: a task, or a question in words.

    Attributes:
        title: What it is called.
        most: The points that it can earn.
        earned: What the notebook shows; None for a task not yet checked, for one whose program is
            another one now, and for a question.
        done: Whether all points were earned, or the question has an answer.
        in_words: Whether it is a question that a person marks.
        changed: What is to be said where the notebook's program is not the one that was checked.
    """

    title: str
    most: float
    earned: float | None
    done: bool
    in_words: bool = False
    changed: str = ""


@dataclass(frozen=True)
class Progress:
    """How far a learner is in one lesson.

    Attributes:
        lesson: The lesson.
        minutes: The time that the lesson itself says it takes, such as "60 to 90"; may be "".
        aims: What its learner can do after it, in the lesson's own words.
        asked: What it asks.
        begun: Whether any cell of the copy has run; None where there is no readable copy.
        touched: When the copy was last written, in seconds since 1970.
        there: Whether there is a file of its name.
        other: A file of another name that holds work on it, where its own holds none.
    """

    lesson: Lesson
    minutes: str
    aims: tuple[str, ...]
    asked: tuple[Asked, ...]
    begun: bool | None
    touched: float = 0.0
    there: bool = True
    other: str = ""

    @property
    def astray(self) -> str:
        """Say where the work on it is, if it does not lie where it belongs; else ""."""
        words = (HIDDEN if self.there else RENAMED) if self.other else "" if self.there else GONE
        return words.format(file=self.lesson.file, other=self.other)

    @property
    def changed(self) -> tuple[str, ...]:
        """What is to be said of programs that are not those that were checked."""
        return tuple(one.changed for one in self.asked if one.changed)

    @property
    def open(self) -> tuple[Asked, ...]:
        """What is still to be done."""
        return tuple(one for one in self.asked if not one.done)

    @property
    def done(self) -> bool:
        """Whether nothing is open; a lesson that asks nothing is done when it was begun."""
        return bool(self.begun) and not self.open

    @property
    def earned(self) -> float:
        """The points that the notebook shows."""
        return sum(one.earned or 0.0 for one in self.asked)

    @property
    def most(self) -> float:
        """The points of all tasks: what can be earned without a person who marks."""
        return sum(one.most for one in self.asked if not one.in_words)


def look(folder: Path, lessons: Path = LESSONS) -> list[Progress]:
    """Look how far a learner is in each lesson that is built.

    Args:
        folder: The learner's folder.
        lessons: The folder of the lessons.
    """
    every = [lesson for lesson in find_lessons(lessons) if lesson.notebook.exists()]
    others = _others(folder, every)
    return [_look(lesson, folder, others.get(lesson.id, "")) for lesson in every]


def go_on(all_of_them: Sequence[Progress]) -> Progress | None:
    """Give the lesson to go on with: the last one worked at, else the first that is not done."""
    waiting = [one for one in all_of_them if not one.done and one.begun is not None]
    begun = [one for one in waiting if one.begun]
    if begun:
        return max(begun, key=lambda one: one.touched)
    return waiting[0] if waiting else None


def _others(folder: Path, lessons: Sequence[Lesson]) -> dict[str, str]:
    """Name the files that hold work on a lesson under another name; of several the newest."""
    ids, files = [lesson.id for lesson in lessons], {lesson.file for lesson in lessons}
    found: dict[str, tuple[float, str]] = {}
    for path in folder.glob("*.ipynb"):
        try:
            data = path.read_bytes() if path.name not in files else b""
            inside = lesson_inside(data, ids)
            if inside and _has_run(json.loads(data)["cells"]):
                own = path.stat().st_mtime, path.name
                found[inside] = max(own, found.get(inside, own))
        except OSError:
            continue
    return {lesson: name for lesson, (_, name) in found.items()}


def _has_run(cells: Sequence[Any]) -> bool:
    return any(isinstance(cell, dict) and cell.get("execution_count") for cell in cells)


def _look(lesson: Lesson, folder: Path, other: str) -> Progress:
    text = lesson.source.read_text(encoding="utf-8")
    found = _MINUTES.search(text)
    minutes, aims = found[1] if found else "", _aims(text)
    path = folder / lesson.file
    try:
        cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
        asked = tuple(_asked(cell, files) for cell, files in with_programs(cells))
        begun = _has_run(cells)
        touched = path.stat().st_mtime
        return Progress(lesson, minutes, aims, asked, begun, touched, True, "" if begun else other)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        tasks = tuple(Asked(t.title, t.points, None, False) for t in _tasks(lesson))
        there = path.exists()
        return Progress(lesson, minutes, aims, tasks, None, 0.0, there, "" if there else other)


def _tasks(lesson: Lesson) -> list[Task]:
    return [task for task in TASKS.values() if task.lesson == lesson.id]


def _aims(text: str) -> tuple[str, ...]:
    """Give the lesson's first list: it is what its learner can do afterwards."""
    aims: list[str] = []
    for row in text.split("\n"):
        if row.startswith("- "):
            aims.append(row[2:].rstrip(" ;."))
        elif row.startswith("  ") and aims:
            aims[-1] += " " + row.strip(" ;.")
        elif aims and row.strip():
            break
    return tuple(aims)


def _asked(cell: Mapping[str, Any], files: Mapping[str, str]) -> Asked:
    """Read one cell: a check with what it found, or an answer.

    Args:
        cell: The cell.
        files: The programs of the cells above it.
    """
    source, most = text_of(cell), float(cell["metadata"]["nbgrader"].get("points", 0))
    if cell["cell_type"] == "markdown":
        answered = source.strip() not in ("", ANSWER)
        return Asked("the question in words", most, None, answered, in_words=True)
    found = _CHECK.search(source)
    task = TASKS.get(found[1]) if found else None
    changed = not_as_checked(cell, files)
    earned = None if changed else _number(cell.get("outputs", ()), most)
    title = task.title if task else "a task"
    return Asked(title, most, earned, earned == most, changed=changed)


def _number(outputs: Sequence[Mapping[str, Any]], most: float) -> float | None:
    """Give the points that a check's output shows, None where there are none."""
    for output in outputs:
        if output.get("output_type") == "execute_result":
            text = output.get("data", {}).get("text/plain", "")
            try:
                value = float(text if isinstance(text, str) else "".join(text))
            except ValueError:
                return None
            return min(max(value, 0.0), most) if math.isfinite(value) else None
    return None
