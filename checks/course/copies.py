"""Copies: what a learner gets of a lesson, made by nbgrader's own preprocessors."""

from __future__ import annotations

import re
from typing import Any

from nbconvert.preprocessors import Preprocessor
from nbformat import NotebookNode
from nbgrader.converters import GenerateAssignment
from nbgrader.preprocessors import IncludeHeaderFooter, InstantiateTests, SaveCells
from traitlets.config import Config

from .content import WAYS
from .files import as_bytes, from_bytes, markdown_cell
from .lessons import Lesson, find_lessons, place_of
from .marked import unmarked_copy
from .python_words import add_notes
from .regions import ANSWER, STUB
from .schemas import share_schemas

__all__ = [
    "HOME", "ClearWidgets", "copy_settings", "learner_copy", "release_preprocessors",
]  # fmt: skip


HOME = "/quayside"
"""Where the launcher's server has the home page; JupyterLab leaves a link alone that begins so."""


class ClearWidgets(Preprocessor):
    """Removes the state of sliders, which may show what a solution did."""

    def preprocess(self, nb: NotebookNode, resources: Any) -> tuple[NotebookNode, Any]:
        """Clear one notebook."""
        nb.metadata.pop("widgets", None)
        return nb, resources


def release_preprocessors() -> list[type[Preprocessor]]:
    """Give nbgrader's preprocessors of a release, in order, with ours.

    Left out is the one that writes tests for a lesson, which starts a kernel and has nothing to do
    here: the checks are ready-made.
    """
    stock = GenerateAssignment.class_traits()["preprocessors"].default_args[0]
    return [ClearWidgets, *(kind for kind in stock if kind is not InstantiateTests)]


def copy_settings(settings: Config) -> None:
    """Set how solutions, mark schemes and outputs leave a lesson."""
    settings.ClearSolutions.code_stub = {"python": STUB}
    settings.ClearSolutions.text_stub = ANSWER
    # A rubric stands in the locked question, not in a cell of nbgrader's kind "task", so that an
    # answer nobody touched gets its 0 by itself and the mentor still sees the rubric.
    settings.ClearMarkScheme.enforce_metadata = False


def learner_copy(built: bytes, lesson: Lesson) -> bytes:
    """Make a learner's copy of a built notebook, as nbgrader's release of it.

    Args:
        built: The notebook's file.
        lesson: Its lesson.

    Returns:
        The file of the copy; the same for the same notebook.
    """
    if (copy := unmarked_copy(built)) is not None:
        return copy
    share_schemas()
    notebook = from_bytes(built)
    _link_flat(notebook, lesson)
    _link_on(notebook, lesson)
    settings = Config()
    copy_settings(settings)
    resources: dict[str, Any] = {}
    for kind in release_preprocessors():
        # These two belong to a course: its headers, its database.
        if kind not in (IncludeHeaderFooter, SaveCells):
            notebook, resources = kind(config=settings, enabled=True)(notebook, resources)
    add_notes(notebook, lesson)
    return as_bytes(notebook)


def _link_on(notebook: NotebookNode, lesson: Lesson) -> None:
    """Give a copy its ways on: home, and at its end the next lesson."""
    others = [one for one in find_lessons(lesson.folder) if one.notebook.exists()]
    after = [one for one in others if place_of(one.id) == place_of(lesson.id) + 1]
    words = [f"The next lesson: [{one.title}]({one.file})." for one in after]
    words += [f"[Home]({HOME}) shows all lessons, and your points so far."]
    cell = markdown_cell("---\n\n" + " ".join(words))
    home, goes_on = (way.format(lesson.id) for way in WAYS)
    cell["id"] = goes_on
    notebook.cells.append(cell)
    back = markdown_cell(f"[Home]({HOME}), if you opened this page from there.")
    back["id"] = home
    notebook.cells.insert(1, back)


def _link_flat(notebook: NotebookNode, lesson: Lesson) -> None:
    """Turn links to other lessons into links between the copies, which lie in one folder."""
    files = {f"../{other.id}/{other.id}.ipynb": other.file for other in find_lessons(lesson.folder)}
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            cell.source = re.sub(
                r"\]\(([^()\s]+)\)", lambda m: f"]({files.get(m[1], m[1])})", cell.source
            )
