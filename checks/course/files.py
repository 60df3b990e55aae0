"""Files: notebooks read and written; the one place that calls nbformat, which has no types."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode
from nbformat.v4 import new_markdown_cell, new_notebook

__all__ = ["as_bytes", "empty_node", "from_bytes", "markdown_cell", "name_cells", "notebook_of"]
__all__ += ["read"]


def read(path: Path) -> NotebookNode:
    """Read a notebook from a file."""
    return from_bytes(path.read_bytes())


def from_bytes(data: bytes) -> NotebookNode:
    """Read a notebook from what a file holds."""
    node: NotebookNode = nbformat.reads(data.decode("utf-8"), as_version=4)  # type: ignore[no-untyped-call]
    return node


def as_bytes(notebook: NotebookNode) -> bytes:
    """Give a notebook as a file holds it: the same bytes on every system."""
    text: str = nbformat.writes(notebook)  # type: ignore[no-untyped-call]
    return (text + "\n").encode("utf-8")


def notebook_of(cells: list[NotebookNode], metadata: dict[str, Any]) -> NotebookNode:
    """Make a notebook."""
    node: NotebookNode = new_notebook(cells=cells, metadata=metadata)  # type: ignore[no-untyped-call]
    return node


def markdown_cell(text: str) -> NotebookNode:
    """Make a Markdown cell."""
    node: NotebookNode = new_markdown_cell(text)  # type: ignore[no-untyped-call]
    return node


def empty_node() -> NotebookNode:
    """Make an empty piece of a notebook."""
    node: NotebookNode = NotebookNode()  # type: ignore[no-untyped-call]
    return node


def name_cells(cells: list[NotebookNode], lines: list[int]) -> dict[str, int]:
    """Give every cell an id that stays the same while its text does; return their lines."""
    named: dict[str, int] = {}
    for cell, line in zip(cells, lines, strict=True):
        mark = hashlib.sha256(f"{cell.cell_type}\n{cell.source}".encode()).hexdigest()[:8]
        name = cell.metadata.get("nbgrader", {}).get("grade_id", mark)
        count = 2
        while name in named:
            name = f"{mark}-{count}"
            count += 1
        cell["id"] = name
        named[name] = line
    return named
