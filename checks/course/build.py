"""Build: from a lesson's source to the notebook that readers and nbgrader see."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from nbformat import NotebookNode

from robotsim import KitError

from ..shown import say
from ..task import Task
from ..tasks import TASKS
from .execute import execute
from .files import as_bytes, read
from .lessons import LESSONS, Lesson, find_lessons, pick_lessons
from .source import Source, read_source

__all__ = ["build", "build_all", "differences", "disagreements"]


def build(lesson: Lesson, tasks: Mapping[str, Task] | None = None) -> list[str]:
    """Make a lesson's notebook, with its outputs.

    Args:
        lesson: The lesson.
        tasks: All tasks by id; None for the kit's own.

    Returns:
        What a reader should know: checks that the lesson's own solution did not pass.

    Raises:
        KitError: The source cannot be read, or a cell failed; names the file and line.
    """
    source = read_source(lesson, TASKS if tasks is None else tasks)
    try:
        execute(source.notebook)
    except KitError as fault:
        line = source.lines.get(fault.where)
        where = f"{lesson.source.name}, line {line}" if line else lesson.source.name
        raise KitError(fault.what, where=where, hint=fault.hint) from fault
    lesson.notebook.parent.mkdir(exist_ok=True)
    lesson.notebook.write_bytes(as_bytes(source.notebook))
    return _short_scores(source)


def build_all(ids: Sequence[str], folder: Path = LESSONS) -> int:
    """Build lessons, all if none is named, and say so; give the exit code."""
    lesson_list = pick_lessons(ids, folder)
    complaints = []
    for lesson in lesson_list:
        say(f"{lesson.id}: running {lesson.source.name} ...")
        found = build(lesson)
        say(f"{lesson.id}: wrote {lesson.notebook.relative_to(folder.parent)}")
        complaints += found
    if complaints:
        say(*complaints)
    return 1 if complaints else 0


def differences(
    ids: Sequence[str] = (), folder: Path = LESSONS, tasks: Mapping[str, Task] | None = None
) -> list[str]:
    """Say, a sentence each, where sources and notebooks do not agree; nothing is run."""
    found = []
    for lesson in pick_lessons(ids, folder):
        found += disagreements(lesson, TASKS if tasks is None else tasks)
    if not ids:
        known = {lesson.id for lesson in find_lessons(folder)}
        for path in sorted(folder.glob("*/*.ipynb")):
            if path.parent.name not in known:
                found.append(f"{path.parent.name}/{path.name} has no source.")
    return found


def disagreements(lesson: Lesson, tasks: Mapping[str, Task]) -> list[str]:
    """Say where a lesson's notebook is not what its source would make."""
    again = f"Run `python3 checks build {lesson.id}`."
    source = read_source(lesson, tasks)
    if not lesson.notebook.exists():
        return [f"{lesson.source.name} was never built. {again}"]
    notebook = read(lesson.notebook)
    for k, wanted in enumerate(source.notebook.cells):
        have = notebook.cells[k] if k < len(notebook.cells) else None
        if have is None or _skeleton(have) != _skeleton(wanted):
            return [f"{source.place(wanted)}: the notebook's cell {k + 1} is another one. {again}"]
        if have.cell_type == "code" and have.source.strip() and have.execution_count is None:
            return [f"{source.place(wanted)}: the notebook's cell {k + 1} was not run. {again}"]
    surplus = len(notebook.cells) - len(source.notebook.cells)
    if surplus:
        return [f"{lesson.source.name}: the notebook has {surplus} cells more. {again}"]
    if notebook.metadata.get("kernelspec") != source.notebook.metadata["kernelspec"]:
        return [f"{lesson.source.name}: the notebook is for another kernel. {again}"]
    return []


def _skeleton(cell: NotebookNode) -> dict[str, Any]:
    return {key: cell[key] for key in ("id", "cell_type", "source", "metadata")}


def _short_scores(source: Source) -> list[str]:
    """Name the checks at which the lesson's own solution did not earn everything."""
    short = []
    for cell in source.notebook.cells:
        marks = cell.metadata.get("nbgrader", {})
        if cell.cell_type == "code" and marks.get("grade"):
            results = [o for o in cell.outputs if o.output_type == "execute_result"]
            earned = results[0]["data"]["text/plain"] if results else "no result"
            if earned != f"{marks['points']:g}":
                told = f"the lesson's solution earned {earned} of {marks['points']:g}"
                short.append(f"{source.place(cell)}: {told} ({marks['grade_id']}).")
    return short
