"""Work: what learners do in a school, and what it should come to."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from typing import Any, TypeVar

import nbformat

from checks import TASKS
from robotsim.notebook import program_cell
from tests.checks.site.tab import solved_copy
from tests.checks.tuning import tuned, worked

T = TypeVar("T")


def full_marks(lesson: str) -> dict[str, float]:
    return {name: task.points for name, task in TASKS.items() if task.lesson == lesson}


def at_once(*work: Coroutine[Any, Any, T]) -> list[T]:
    async def all_of_it() -> list[T]:
        return await asyncio.gather(*work)

    return asyncio.run(all_of_it())


def solved_for(tug: int, lesson: str = "lamps") -> Any:
    """Give a lesson's notebook as somebody leaves it who has solved it on their own tug."""
    notebook = nbformat.reads(solved_copy(lesson).decode(), 4)
    programs = {task.program: name for name, task in TASKS.items() if task.lesson == lesson}
    for cell in notebook.cells:
        found = program_cell(cell.source) if cell.cell_type == "code" else None
        if found and (task := programs.get(found[0])):
            head = cell.source.partition("\n")[0]
            cell.source = f"{head}\n{tuned(task, worked(task), tug)}"
    return notebook
