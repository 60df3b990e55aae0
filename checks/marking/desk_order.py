"""Desk order: in which order a mentor sees a submission's cells in the form grader.

First what a person marks: each question in words with its rubric, and the answer below it.  Then
programs and their cards.  The rest of the lesson, which the mentor knows, comes last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import copy

from nbformat import NotebookNode

from ..course.content import SCHEME
from ..course.files import markdown_cell

__all__ = ["desk_order", "with_rubric"]

_CHECKED = "## Programs and their checks"
_REST = "## The rest of the notebook, as it was handed in"


def desk_order(cells: Iterable[NotebookNode]) -> list[NotebookNode]:
    """Give the cells of a submission in the order in which they are marked; none is left out."""
    words, checked, rest = [], [], []
    waiting: list[NotebookNode] = []
    for cell in cells:
        about = cell.metadata.get("nbgrader", {})
        name = str(about.get("grade_id", ""))
        if cell.cell_type == "markdown" and name.endswith("-question"):
            waiting.append(cell)
        elif cell.cell_type == "markdown" and about.get("grade"):
            mine = [one for one in waiting if _name(one) == f"{name}-question"]
            words += [*map(_with_rubric, mine), cell]
            waiting = [one for one in waiting if _name(one) != f"{name}-question"]
        elif about.get("grade") or about.get("solution"):
            checked.append(cell)
        else:
            rest.append(cell)
    rest += waiting
    return [*words, *_headed(_CHECKED, checked), *_headed(_REST, rest)]


def _name(cell: NotebookNode) -> str:
    return str(cell.metadata["nbgrader"]["grade_id"])


def with_rubric(question: str) -> str:
    """Set a question's rubric off by a rule and a heading, in the place of nbgrader's marks."""
    return SCHEME.sub(lambda found: f"\n---\n\n**How it is marked**\n\n{found[1]}\n", question)


def _with_rubric(question: NotebookNode) -> NotebookNode:
    shown = copy(question)
    shown.source = with_rubric(question.source)
    return shown


def _headed(heading: str, cells: list[NotebookNode]) -> Iterator[NotebookNode]:
    if cells:
        yield markdown_cell(heading)
        yield from cells
