"""Demo: a small made-up class hands in, and is marked from end to end through nbgrader."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from nbformat import NotebookNode

from robotsim import KitError
from robotsim.notebook import program_cell

from ..course.classroom import OWN, TABLES
from ..course.config import make_course
from ..course.files import as_bytes, read
from ..course.grader import export
from ..course.lessons import LESSONS, Lesson, find_lessons
from ..course.open_course import OpenCourse
from ..course.regions import ANSWER, solved, starter
from ..course.scores import Score, scores
from ..marking.feedback import feedback
from ..marking.marker import mark
from ..marking.pool import LocalPool
from ..shown import rows_of, say
from ..tasks import TASKS
from ..whole import write_whole
from .made_up import CLASS, Learner
from .picture import draw_scores

__all__ = ["demo", "graded_lessons", "hand_in", "table"]

_SIGN = ".quayside-demo"
_WHERE = "quayside-demo"
_VARIANT = 1
"""The held-out tables on which it is marked: the same in every demo, so that its scores are."""


def demo(folder: Path | None = None, lessons: Path = LESSONS) -> list[Score]:
    """Mark the made-up class, print its scores and draw them.

    Args:
        folder: Where the course goes; None for a folder in the user's home.
        lessons: The folder of the lessons.

    Returns:
        The scores as nbgrader's gradebook has them.

    Raises:
        KitError: The folder holds something else, or a lesson is not built.
    """
    course = _fresh(folder or Path.home() / _WHERE)
    chosen = graded_lessons(lessons)
    make_course(course, lessons)
    write_whole(course / OWN / TABLES, json.dumps({"variant": _VARIANT}).encode("ascii"))
    say(f"A made-up class of {len(CLASS)} is marked in {course}")
    opened = OpenCourse(course)
    with _step("making the copies to hand out"):
        for lesson in chosen:
            opened.generate(lesson.id)
    for learner in CLASS:
        say(f"  {learner.id} hands in: {learner.about}")
        for lesson in chosen[: learner.lessons]:
            hand_in(course, lesson, learner)
    # What this class hands in stands in the kit's own code: no stranger wrote any of it.
    said = mark(course, pool=LocalPool(unprotected=True))
    for who, what, words in said.for_you:
        say(*rows_of(f"  for you: {who}, {what}: {words}"))
    with _step("writing feedback"):
        list(feedback(course))
    with _step("exporting the scores"):
        file = export(course)
    found = scores(opened)
    say("", *table(found).split("\n"), "")
    picture = draw_scores(found, course / "scores.png", "A made-up class and its scores")
    say(f"Scores:   {file}", f"Picture:  {picture}", f"Feedback: {course / 'feedback'}")
    return found


def graded_lessons(lessons: Path = LESSONS) -> list[Lesson]:
    """Give the lessons that have tasks, in order.

    Raises:
        KitError: There are none, or one is not built.
    """
    found = [
        lesson for lesson in find_lessons(lessons)
        if any(task.lesson == lesson.id for task in TASKS.values())
    ]  # fmt: skip
    missing = [lesson for lesson in found if not lesson.notebook.exists()]
    if missing or not found:
        raise KitError(
            "No lesson with tasks is there." if not found else f"{missing[0].id!r} is not built.",
            where=str(lessons), hint="run `python3 checks build`.",
        )  # fmt: skip
    return found


def hand_in(course: Path, lesson: Lesson, learner: Learner) -> Path:
    """Put what a learner made of the release copy where nbgrader expects it.

    Returns:
        The notebook handed in.
    """
    solutions = _programs(read(lesson.notebook))
    copy = course / "release" / lesson.id / lesson.notebook.name
    notebook = read(copy)
    by_cell = {task.id.replace(".", "-"): task.id for task in TASKS.values()}
    place = 0
    for cell in notebook.cells:
        name = cell.metadata.get("nbgrader", {}).get("grade_id", "")
        if name in solutions:
            head, solution = solutions[name]
            task = by_cell[name.removesuffix("-program")]
            work = learner.work(place, task, starter(solution), solved(solution))
            cell.source = f"{head}\n{work.rstrip()}"
            place += 1
        elif cell.source == ANSWER and learner.answer:
            cell.source = learner.answer
    target = course / "submitted" / learner.id / lesson.id / copy.name
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(as_bytes(notebook))
    return target


def table(scores: Sequence[Score]) -> str:
    """Give the scores as text, a block a lesson and a row a learner, then the sums.

    `-` was not handed in; `*` waits for a person to mark it.
    """
    lessons = list(dict.fromkeys(s.lesson for s in scores))
    learners = list(dict.fromkeys(s.learner for s in scores))
    blocks = [_lesson_rows([s for s in scores if s.lesson == lesson]) for lesson in lessons]
    if len(lessons) > 1:
        sums = [["all lessons", *lessons, "total"]]
        for row, who in enumerate(["most", *learners], start=1):
            totals = [block[row][-1] for block in blocks]
            sums.append([who, *totals, f"{sum(map(float, totals)):g}"])
        blocks.append(sums)
    lines = "\n\n".join(_aligned(block) for block in blocks)
    return f"{lines}\n\n- not handed in   * waits to be marked by hand"


def _lesson_rows(scores: Sequence[Score]) -> list[list[str]]:
    """Give one lesson's scores as rows of words, heads and full marks first."""
    cells = list(dict.fromkeys((s.cell, s.most) for s in scores))
    lesson = scores[0].lesson
    rows = [
        [lesson, *(cell.removeprefix(f"{lesson}-") for cell, _ in cells), "total"],
        ["most", *(f"{most:g}" for _, most in cells), f"{sum(most for _, most in cells):g}"],
    ]
    for learner in dict.fromkeys(s.learner for s in scores):
        own = {s.cell: s for s in scores if s.learner == learner}
        total = sum(score.points for score in own.values())
        rows.append([learner, *(_points(own[cell]) for cell, _ in cells), f"{total:g}"])
    return rows


def _aligned(rows: list[list[str]]) -> str:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join([row[0].ljust(widths[0]), *map(str.rjust, row[1:], widths[1:])]) for row in rows
    )


def _points(score: Score) -> str:
    if not score.handed_in:
        return "-"
    return "*" if score.by_hand else f"{score.points:g}"


def _programs(notebook: NotebookNode) -> dict[str, tuple[str, str]]:
    """Give the graded programs of a lesson: cell name to the cell's first line and the rest."""
    found = {}
    for cell in notebook.cells:
        name = cell.metadata.get("nbgrader", {}).get("grade_id", "")
        if name.endswith("-program") and program_cell(cell.source):
            head, _, body = cell.source.partition("\n")
            found[name] = (head, body)
    return found


def _fresh(folder: Path) -> Path:
    """Make the folder anew if an earlier demo made it; never touch another one."""
    sign = folder / _SIGN
    if folder.exists() and any(folder.iterdir()):
        if not sign.exists():
            raise KitError(
                "The folder for the demo holds something else.", where=str(folder),
                hint="name a new one: `python3 checks demo --folder PATH`.",
            )  # fmt: skip
        shutil.rmtree(folder)
    folder.mkdir(parents=True, exist_ok=True)
    sign.write_text(json.dumps({"made by": "python3 checks demo"}), encoding="utf-8")
    return folder


@contextmanager
def _step(title: str) -> Iterator[None]:
    began = time.monotonic()
    say(f"  {title} ...", end="")
    try:
        yield
    except BaseException:
        say(" failed")
        raise
    say(f" {time.monotonic() - began:.0f} s")
