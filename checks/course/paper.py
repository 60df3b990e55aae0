"""Paper: a print-out of each lesson and its answer key, made of the lessons' own texts.

The print-out has a lesson's aims, what to predict, its tables and pictures, its tasks with what
they ask, and the cautions; no solution, hint or scheme, and nothing that a learner is to find by
running a program.  The key has the rest, with the answers of `TEACHING.md`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from nbformat import NotebookNode

from robotsim.notebook import program_cell

from ..task import Task
from .content import SCHEME
from .files import read
from .lessons import Lesson
from .paper_plan import plan_of
from .regions import ANSWER, solved, starter
from .source import read_source

__all__ = ["Piece", "answers", "sheet"]

Kind = Literal["text", "program", "picture", "room"]

_GUESS = re.compile(r"\*\*Predict|\*\*Before you run it|^### Predict", re.M)
_ANSWERED = re.compile(r"Did you answer the question")
_ASIDE = re.compile(r"\*\*(Try|Something to change)\b")
_LIST = re.compile(r"(- |\d+\. |\| )")
_PICTURE = re.compile(r"<img [^>]*?src=\"data:image/[^>]*>")
_WHOLE = ("Task", "Predict", "On the real robot")
"""How the sections begin that are on paper from end to end; the story before them is as well."""
_GIVEN = ("A file for", "Two files")
"""Where long programs stand that are only to be had."""
_LAST = ("If you want more", "A stretch")
"""How the section begins that is not marked, and stays on the screen."""


@dataclass(frozen=True)
class Piece:
    """What stands on paper, in order.

    Attributes:
        kind: "text" (Markdown), "program" (plain text), "picture" (an `<img>` with its words) or
            "room" (lines to write on).
        text: It; of a "room" how many lines.
        name: Of a program, its file.
    """

    kind: Kind
    text: str
    name: str = ""


class _Pages:
    """A lesson's source beside the notebook that was built of it."""

    def __init__(self, lesson: Lesson, tasks: Mapping[str, Task]) -> None:
        self.lesson = lesson
        self.cells = read_source(lesson, tasks).notebook.cells
        built = {cell.id: cell for cell in read(lesson.notebook).cells}
        self._outputs = {id: cell.get("outputs", []) for id, cell in built.items()}
        self.solved = {task.program for task in tasks.values() if task.lesson == lesson.id}

    def pictures(self, cell: NotebookNode) -> Iterator[Piece]:
        """Give the pictures that a cell showed when the lesson was built."""
        html = "".join("".join(output.get("data", {}).get("text/html", ""))
                       for output in self._outputs.get(cell.id, ()))  # fmt: skip
        yield from (Piece("picture", found) for found in dict.fromkeys(_PICTURE.findall(html)))

    def of_a_solution(self, cell: NotebookNode) -> bool:
        """Tell whether a cell shows what a task's program did."""
        return any(f'"{name}"' in cell.source for name in self.solved)


class _Sheet:
    """Goes through a lesson and takes what belongs on its print-out."""

    def __init__(self, pages: _Pages, tasks: Mapping[str, Task]) -> None:
        self.pages, self.tasks = pages, {one.program: one for one in tasks.values()
                                         if one.lesson == pages.lesson.id}  # fmt: skip
        self.heading, self.level = "", 1
        self.sections = 0
        self.guessed = False  # something is to be predicted: what follows its run tells it
        self.told = False
        self.found: list[Piece] = []
        self._waiting: list[Piece] = []  # a heading, printed once something stands below it

    def pieces(self) -> list[Piece]:
        """Give them."""
        for cell in self.pages.cells:
            if cell.cell_type == "markdown":
                self._words(cell)
            else:
                self._code(cell)
        return self.found

    def _words(self, cell: NotebookNode) -> None:
        marks = cell.metadata.get("nbgrader", {})
        if cell.source.strip() == ANSWER:
            self._keep(Piece("room", "10"))
            return
        blocks = _blocks(SCHEME.sub("", _without_hints(cell.source)))
        for k, block in enumerate(blocks):
            if block.startswith("#"):
                self._begin(block)
            elif self.told or self.heading.startswith(_LAST):
                continue
            elif marks or self._belongs(block, blocks[k + 1] if k + 1 < len(blocks) else ""):
                self._keep(Piece("text", block))
                if _GUESS.search(block):
                    self.guessed = True

    def _begin(self, block: str) -> None:
        if self.guessed and not self.told:  # nothing was to be run: it is only to be written down
            self._keep(Piece("room", "3"))
        head, _, rest = block.partition("\n")
        signs, _, self.heading = head.partition(" ")
        self.level = len(signs)
        self.sections += self.level == 2
        self.told, self.guessed = False, self.heading == "Predict"
        self._waiting = [p for p in self._waiting if p.text.index(" ") < self.level]
        self._waiting.append(Piece("text", head))
        if rest.strip():
            self._keep(Piece("text", rest))

    def _belongs(self, block: str, following: str) -> bool:
        """Tell whether a paragraph belongs on paper: explanations are read on the screen."""
        if _ANSWERED.search(block):
            return False
        whole = self.sections <= 1 or self.heading.startswith(_WHOLE)
        lists = _LIST.match(block) or _LIST.match(following)
        return bool(whole or lists or _GUESS.search(block) or _ASIDE.match(block))

    def _code(self, cell: NotebookNode) -> None:
        marks = cell.metadata.get("nbgrader", {})
        if marks.get("grade"):
            self.told = True  # what a check found is talked about below it
        if self.told or self.heading.startswith(_LAST):
            return
        found = program_cell(cell.source)
        if found is not None:
            if marks.get("solution"):
                drawn = plan_of(self.tasks[found[0]])
                self.found += [Piece("picture", drawn)] if drawn else []
            if not self.heading.startswith(_GIVEN):
                self._keep(Piece("program", starter(found[1]).strip("\n"), found[0]))
            return
        if self.guessed:
            self._keep(Piece("room", "3"))
            self.told = True
        elif not self.heading.startswith("Task") and not self.pages.of_a_solution(cell):
            for piece in self.pages.pictures(cell):
                self._keep(piece)

    def _keep(self, piece: Piece) -> None:
        self.found += [*self._waiting, piece]
        self._waiting = []


def sheet(lesson: Lesson, tasks: Mapping[str, Task]) -> list[Piece]:
    """Give what stands on a lesson's print-out.

    Args:
        lesson: The lesson, built.
        tasks: All tasks by id.

    Raises:
        KitError: Its source or its notebook cannot be read.
    """
    return _Sheet(_Pages(lesson, tasks), tasks).pieces()


def answers(lesson: Lesson, tasks: Mapping[str, Task], teaching: str = "") -> list[Piece]:
    """Give what stands in a lesson's answer key.

    Args:
        lesson: The lesson, built.
        tasks: All tasks by id.
        teaching: The text of `TEACHING.md`; "" where there is none.

    Raises:
        KitError: Its source or its notebook cannot be read.
    """
    pages = _Pages(lesson, tasks)
    found = [Piece("text", _said_in(teaching, lesson))] if teaching else []
    heading = ""
    for cell in pages.cells:
        if cell.cell_type == "markdown":
            heading = ([heading] + re.findall(r"^## (.*)", cell.source, re.M))[-1]
            scheme = SCHEME.search(cell.source)
            if scheme:
                found.append(Piece("text", f"## {heading}\n\n{scheme[1]}"))
        elif cell.metadata.get("nbgrader", {}).get("solution"):
            name, program = program_cell(cell.source) or ("", "")
            found.append(Piece("text", f"## {heading}"))
            found.append(Piece("program", solved(program).strip("\n"), name))
        elif pages.of_a_solution(cell):
            found += pages.pictures(cell)
    return found


def _said_in(teaching: str, lesson: Lesson) -> str:
    """Give the answers, and how to mark those in words, that the teacher's page has of a lesson."""
    section = re.search(rf"^## {lesson.id}: .*?(?=^## |\Z)", teaching, re.M | re.S)
    found = section and re.search(r"^\*\*Answers\.\*\*.*?(?=^\*\*(What the checks|Shorter))",
                                  section[0], re.M | re.S)  # fmt: skip
    return found[0].strip() if found else ""


def _blocks(text: str) -> list[str]:
    """Split Markdown at blank lines, those within fences aside."""
    rows, fenced = [], False
    for row in text.split("\n"):
        fenced ^= row.startswith("```")
        rows.append(row if row.strip() or not fenced else " ")
    return [block for block in re.split(r"\n{2,}", "\n".join(rows)) if block.strip()]


def _without_hints(text: str) -> str:
    """Take out what is folded; a hint may have others folded in it."""
    kept, depth = [], 0
    for row in text.split("\n"):
        depth += row.count("<details>")
        kept += [] if depth else [row]
        depth -= row.count("</details>")
    return "\n".join(kept)
