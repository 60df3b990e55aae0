"""Preprocessor: takes the place of nbgrader's execution of a learner's notebook.

Under stock nbgrader every cell of a submission runs in the process that also holds the checks.
Here none does: `%%program` cells are read as text, what has to be checked is read from the
gradebook, where the teacher's version was noted, and a clean process runs those checks.
"""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Any

from nbformat import NotebookNode
from nbformat.v4 import new_output
from nbgrader.api import Gradebook
from nbgrader.preprocessors import NbGraderPreprocessor
from traitlets import Bool

from ..course.classroom import marked_on
from .client import Worker
from .evidence import evidence
from .requests import requests_of
from .store import Store
from .submitted import handed_out

__all__ = ["RunChecks"]


class RunChecks(NbGraderPreprocessor):  # type: ignore[misc,unused-ignore]
    """Fills the outputs of the graded code cells as a kernel would."""

    programs_may_reach_this_computer = Bool(
        False, help="Whether to check also where programs of others cannot be kept in."
    ).tag(config=True)

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Mark one notebook."""
        about = resources["nbgrader"]
        course = Path(self.config.CourseDirectory.root)
        student = marked_on(course).as_marked(about["student"])
        with Gradebook(about["db_url"]) as book:
            notebook = book.find_notebook(about["notebook"], about["assignment"])
            sources = {cell.name: cell.source for cell in notebook.source_cells}
        store = Store(course)
        seen = self._seen(store, course, about)
        asked = requests_of(nb.cells, sources, student.serial, student.variant or 0)
        with ExitStack() as stack:
            worker: Worker | None = None
            for count, (cell, request) in enumerate(asked, 1):
                found = store.result(request)
                if found is None:
                    worker = worker or stack.enter_context(
                        Worker(unprotected=self.programs_may_reach_this_computer)
                    )
                    found = store.result(request, worker)
                assert found is not None
                words = evidence(store, request, found, seen.get(cell.metadata.nbgrader.grade_id))
                data = {"text/plain": found.about["points"], "text/html": words}
                cell.execution_count = count
                cell.outputs = [
                    new_output(  # type: ignore[no-untyped-call]
                        "execute_result", data, execution_count=count
                    )
                ]
        return nb, resources

    @staticmethod
    def _seen(store: Store, course: Path, about: Any) -> dict[str, str]:
        """Give what the learner's own file shows at the checks, by the names of their cells."""
        lesson = about["assignment"]
        file = course / "submitted" / about["student"] / lesson / f"{about['notebook']}.ipynb"
        if not file.is_file():
            return {}
        found = store.notebook(file.read_bytes(), handed_out(course, lesson), lesson)
        seen: dict[str, str] = found[0]["seen"] if found else {}
        return seen
