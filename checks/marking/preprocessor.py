"""Preprocessor: takes the place of nbgrader's execution of a learner's notebook.

Under stock nbgrader every cell of a submission runs in the process that also holds the checks.
Here none does: `%%program` cells are read as text, what has to be checked is read from the
gradebook, where the teacher's version was noted, and a clean process runs those checks.
"""

from __future__ import annotations

import json
import re
from typing import Any

from nbformat import NotebookNode
from nbformat.v4 import new_output
from nbgrader import utils
from nbgrader.api import Gradebook
from nbgrader.preprocessors import NbGraderPreprocessor

from robotsim.notebook import program_cell

from .client import Request, run_checks

__all__ = ["RunChecks", "requests_of"]

_CHECK = re.compile(r'check\("([A-Za-z0-9_.]+)"\)')


class RunChecks(NbGraderPreprocessor):  # type: ignore[misc,unused-ignore]
    """Fills the outputs of the graded code cells as a kernel would."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Mark one notebook."""
        about = resources["nbgrader"]
        with Gradebook(about["db_url"]) as book:
            notebook = book.find_notebook(about["notebook"], about["assignment"])
            sources = {cell.name: cell.source for cell in notebook.source_cells}
        asked = requests_of(nb, sources)
        results = run_checks([request for _, request in asked])
        for count, ((cell, _), found) in enumerate(zip(asked, results, strict=True), 1):
            data = {"text/plain": found.points, "text/html": found.card}
            cell.execution_count = count
            cell.outputs = [
                new_output(  # type: ignore[no-untyped-call]
                    "execute_result", data, execution_count=count
                )
            ]
        return nb, resources


def requests_of(nb: NotebookNode, sources: dict[str, str]) -> list[tuple[NotebookNode, Request]]:
    """Find what has to be checked, each with the files that the cells above it put on the board.

    Args:
        nb: The learner's notebook.
        sources: Cell name to text, from the teacher's version.

    Raises:
        ValueError: A graded cell is none that the teacher's version has, or is no check.
    """
    found = []
    files: dict[str, str] = {}
    for cell in nb.cells:
        if cell.cell_type != "code":
            continue
        if utils.is_grade(cell):
            name = cell.metadata.nbgrader["grade_id"]
            # A cell put back by nbgrader begins with a comment that says so.
            check = _CHECK.search(sources.get(name, ""))
            if check is None:
                raise ValueError(f"the graded cell {name!r} is no check of this lesson")
            found.append((cell, Request(check[1], json.dumps(files))))
            continue
        # The kernel skips empty lines above a magic, too.
        program = program_cell(re.sub(r"\A(?:[ \t]*\n)+", "", cell.source))
        if program is not None:
            files[program[0]] = program[1] + "\n"
    return found
