"""Source: a lesson's text, read into a notebook with nbgrader's metadata.

The text is in jupytext's Markdown format.  A cell may carry options: `program="drive.straight"`,
`check="drive.straight"`, `answer="drive.words" points=4` and `tags="..."`.  What nbgrader needs to
know is derived from them; points of a task come from the task itself, never from the text. A line
`{{asked drive.straight}}` stands for the table of what the task asks, in its criteria's own words.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import jupytext
from nbformat import NotebookNode

from robotsim import KitError, UnknownNameError
from robotsim.notebook import MAGIC, program_cell

from ..task import Task
from .files import empty_node, markdown_cell, name_cells, notebook_of
from .lessons import Lesson
from .regions import ANSWER, SCHEME, SOLUTION, STUB, has_regions, starter

__all__ = ["Source", "plain_notebook", "read_source"]

_METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"file_extension": ".py", "mimetype": "text/x-python", "name": "python"},
}
_ASKED = re.compile(r"^\{\{asked (\S+)\}\}$", re.M)
_OPTION_LINE = re.compile(r"^(```python|<!-- #region)\b.*")
_PLAIN_TAGS = re.compile(r'\btags="([^"]*)"')


@dataclass
class Source:
    """A lesson as its source tells it: the notebook without outputs, and where each cell stands.

    Attributes:
        lesson: The lesson.
        notebook: The notebook, with all metadata.
        lines: Cell id to the line of the source at which the cell begins.
    """

    lesson: Lesson
    notebook: NotebookNode
    lines: dict[str, int]

    def place(self, cell: NotebookNode) -> str:
        """Give a cell's place in words."""
        return _place(self.lesson, self.lines[cell.id])


def read_source(lesson: Lesson, tasks: Mapping[str, Task]) -> Source:
    """Read a lesson's source.

    Args:
        lesson: The lesson.
        tasks: All tasks by id.

    Raises:
        KitError: Something in the text cannot be; names the file and line.
    """
    text = lesson.source.read_text(encoding="utf-8")
    rows = [_list_tags(row) for row in text.splitlines()]
    try:
        cells = jupytext.reads("\n".join(rows) + "\n", fmt="md").cells
    except Exception as fault:  # jupytext's errors are of many kinds
        raise KitError(f"The source cannot be read: {fault}", where=lesson.source.name) from fault
    reader = _Reader(lesson, tasks)
    begin = 0
    for cell in cells:
        begin, end = _find(cell.source, rows, begin)
        reader.read(cell, begin + 1)
        begin = end
    reader.finish(len(rows))
    notebook = notebook_of(reader.cells, json.loads(json.dumps(_METADATA)))
    lines = name_cells(reader.cells, reader.lines)
    return Source(lesson, notebook, lines)


def plain_notebook(text: str) -> NotebookNode:
    """Give a notebook of a text in the same format that is no lesson: without options."""
    cells = jupytext.reads(text, fmt="md").cells
    for cell in cells:
        cell.metadata = empty_node()
    notebook = notebook_of(cells, json.loads(json.dumps(_METADATA)))
    name_cells(cells, [0] * len(cells))
    return notebook


@dataclass
class _Reader:
    """Goes through the cells of one lesson and expands their options."""

    lesson: Lesson
    tasks: Mapping[str, Task]
    cells: list[NotebookNode] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)

    def read(self, cell: NotebookNode, line: int) -> None:
        """Take one cell, found at a line of the source."""
        options = {k: v for k, v in cell.metadata.items() if k != "lines_to_next_cell"}
        kinds: dict[str, tuple[str, Callable[..., None]]] = {
            "program": ("code", self._program),
            "check": ("code", self._check),
            "answer": ("markdown", self._answer),
        }
        for name in options:
            if name not in (*kinds, "points", "tags"):
                known = ", ".join(sorted((*kinds, "points", "tags")))
                what = f"A cell has no option {name!r}. Known: {known}."
                raise self._error(what, line)
        chosen = [name for name in kinds if name in options]
        if len(chosen) > 1 or ("points" in options and chosen != ["answer"]):
            raise self._error(
                f"These options do not go together: {', '.join(options)}.", line,
                "one cell is a program, a check or an answer; only an answer carries points.",
            )  # fmt: skip
        cell.metadata = _tagged(options.get("tags", []))
        for name in chosen:
            kind, read = kinds[name]
            if cell.cell_type != kind:
                raise self._error(f"The option {name!r} belongs to a {kind} cell.", line)
            read(cell, line, **{k: v for k, v in options.items() if k != "tags"})
        if cell.cell_type == "markdown":
            cell.source = _ASKED.sub(lambda found: self._asked(found[1], line), cell.source)
        if not chosen:
            self._refuse_marks(cell.source, line, *SOLUTION, *SCHEME)
            plain = cell.cell_type == "code" and not cell.source.startswith("%%")
            if plain and cell.source.rstrip().endswith(";"):
                raise self._error(
                    "A cell ends with a semicolon, which hides its result from a reader only:"
                    " nbval would see it and find the notebook changed.", line,
                    "leave the semicolon out, or give the result a name.",
                )  # fmt: skip
            self._add(cell, line)

    def finish(self, last: int) -> None:
        """Make sure that every task of the lesson has its cells."""
        for task in self.tasks.values():
            for kind in ("program", "check"):
                if task.lesson == self.lesson.id and f"{kind} {task.id}" not in self.seen:
                    raise self._error(
                        f"The task {task.id!r} has no {kind} cell.", last,
                        f'begin one with ```python {kind}="{task.id}"',
                    )  # fmt: skip

    def _program(self, cell: NotebookNode, line: int, program: str) -> None:
        task = self._task(program, line)
        self._once("program", program, line)
        found = program_cell(cell.source)
        if found is None or found[0] != task.program:
            raise self._error(
                f"The program cell of {program!r} begins with `{MAGIC} {task.program}`.", line
            )
        self._refuse_marks(cell.source, line, *SCHEME)
        self._region(cell.source, line, SOLUTION, once=False)
        try:
            compile(starter(found[1]), task.program, "exec", dont_inherit=True)
        except SyntaxError as fault:
            raise self._error(
                f"The starter of {program!r} cannot be compiled: {fault.msg}.", line,
                f"what is left must be a program when {STUB!r} replaces the solution.",
            ) from fault  # fmt: skip
        self._add(cell, line, f"{_grade_id(program)}-program", solution=True)

    def _check(self, cell: NotebookNode, line: int, check: str) -> None:
        task = self._task(check, line)
        self._once("check", check, line)
        if f"program {check}" not in self.seen:
            raise self._error(f"The check of {check!r} comes before its program cell.", line)
        if cell.source != f'check("{check}")':
            raise self._error(f'This check cell holds `check("{check}")` and nothing else.', line)
        self._add(cell, line, _grade_id(check), grade=True, locked=True, points=task.points)

    def _answer(self, cell: NotebookNode, line: int, answer: str, points: Any = None) -> None:
        """Make two cells: the locked question with its mark scheme, and the learner's answer.

        nbgrader replaces an answer as a whole, and gives 0 by itself to one that was not touched.
        """
        self._once("answer", answer, line)
        if answer in self.tasks or answer.split(".")[0] != self.lesson.id:
            raise self._error(
                f"A question is named {self.lesson.id}.something, unlike any task: not {answer!r}.",
                line,
            )
        if isinstance(points, bool) or not isinstance(points, (int, float)) or points <= 0:
            raise self._error(f"The question {answer!r} needs its points: points=4.", line)
        self._refuse_marks(cell.source, line, *SOLUTION)
        self._region(cell.source, line, SCHEME, once=True)
        rows = cell.source.split("\n")
        if rows.count(ANSWER) != 1:
            raise self._error(f"The question {answer!r} has one line `{ANSWER}`.", line)
        name = _grade_id(answer)
        question = "\n".join(row for row in rows if row != ANSWER)
        cell.source = re.sub(r"\n{3,}", "\n\n", question).strip()
        self._add(cell, line, f"{name}-question", locked=True)
        self._add(markdown_cell(ANSWER), line, name, grade=True, solution=True, points=points)

    def _add(self, cell: NotebookNode, line: int, name: str = "", **marks: Any) -> None:
        if name:
            points = marks.pop("points", None)
            plain = {"grade": False, "locked": False, "solution": False, "task": False}
            cell.metadata["nbgrader"] = {**plain, **marks, "grade_id": name, "schema_version": 3}
            if points is not None:
                whole = int(points) if points == int(points) else points
                cell.metadata["nbgrader"]["points"] = whole
        self.cells.append(cell)
        self.lines.append(line)

    def _asked(self, name: str, line: int) -> str:
        """Give what a task asks as a table: in the very words and limits of its criteria."""
        task = self._task(name, line)
        rows = ["| what is looked at | what is asked | points |", "| --- | --- | --- |"]
        rows += [f"| {one.title} | {one.asks} | {one.points:g} |" for one in task.criteria]
        first = next((one.title for one in task.criteria if one.essential), "")
        note = f"\n\nNothing else counts before this does: *{first}*." if first else ""
        return "\n".join(rows) + note

    def _task(self, name: str, line: int) -> Task:
        if name not in self.tasks:
            unknown = UnknownNameError("task", name, self.tasks)
            raise self._error(unknown.what, line, unknown.hint)
        task = self.tasks[name]
        if task.lesson != self.lesson.id:
            raise self._error(f"The task {name!r} belongs to the lesson {task.lesson!r}.", line)
        return task

    def _once(self, kind: str, name: str, line: int) -> None:
        key = f"{kind} {name}"
        if key in self.seen:
            raise self._error(f"{name!r} has a second {kind} cell.", line,
                              f"the first is in line {self.seen[key]}.")  # fmt: skip
        self.seen[key] = line

    def _region(self, source: str, line: int, marks: tuple[str, str], *, once: bool) -> None:
        """Make sure that regions begin and end in turn, and that there is one."""
        if not has_regions(source, marks, once=once):
            raise self._error(
                f"Here belongs {'one' if once else 'a'} region between `{marks[0]}` and"
                f" `{marks[1]}`, each alone on a line.", line,
            )  # fmt: skip

    def _refuse_marks(self, source: str, line: int, *marks: str) -> None:
        for mark in marks:
            if mark.removeprefix("### ") in source:
                raise self._error(
                    f"`{mark}` has no meaning in this cell.", line,
                    "a solution stands in a program cell, a mark scheme in an answer.",
                )  # fmt: skip

    def _error(self, what: str, line: int, hint: str = "") -> KitError:
        return KitError(what, where=_place(self.lesson, line), hint=hint)


def _place(lesson: Lesson, line: int) -> str:
    return f"{lesson.source.name}, line {line}"


def _grade_id(name: str) -> str:
    """Give nbgrader's name of a cell; it allows letters, digits, - and _."""
    return re.sub(r"[^A-Za-z0-9_]+", "-", name)


def _list_tags(row: str) -> str:
    """Write `tags="a b"` as the list that notebooks want; lines stay where they are."""
    if not _OPTION_LINE.match(row):
        return row
    return _PLAIN_TAGS.sub(lambda found: f"tags={json.dumps(found[1].split())}", row)


def _tagged(tags: list[str]) -> NotebookNode:
    """Give a cell's metadata for its tags; JupyterLab itself heeds its own key only."""
    metadata = empty_node()
    if tags:
        metadata["tags"] = list(tags)
    if "hide-input" in tags:
        metadata["jupyter"] = {"source_hidden": True}
    return metadata


def _find(source: str, rows: list[str], begin: int) -> tuple[int, int]:
    """Find a cell's first and last row from `begin` on; row numbers count from 0."""
    wanted = source.strip("\n").split("\n")
    for k in range(begin, len(rows)):
        if rows[k].rstrip() == wanted[0].rstrip():
            return k, k + len(wanted)
    return begin, begin
