"""Programs: which of a saved notebook would be marked, and whether its cards speak of the same."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from robotsim.notebook import program_cell, text_mark

from ..scorecard import texts_judged

__all__ = ["CHANGED", "GONE", "not_as_checked", "program_of", "text_of", "with_programs"]

CHANGED = (
    "{} is not as it was checked: run its cell, check again, save (Ctrl + S). What is marked is the"
    " program in the cell"
)
GONE = "no cell above its check holds {}, so it would not be marked"
"""What is said of a program by its file's name; a site's page says the same."""


def text_of(cell: Mapping[str, Any]) -> str:
    """Give a cell's text: files hold it whole, or as a list of lines."""
    source = cell["source"]
    return source if isinstance(source, str) else "".join(source)


def program_of(source: str) -> tuple[str, str] | None:
    """Give (file name, program) of a `%%program` cell; the kernel skips empty lines above it."""
    return program_cell(re.sub(r"\A(?:[ \t]*\r?\n)+", "", source))


def with_programs(cells: Iterable[Any]) -> Iterator[tuple[Any, dict[str, str]]]:
    """Go through what is graded, each with the files that the cells above it put on the board."""
    files: dict[str, str] = {}
    for cell in cells:
        if cell["metadata"].get("nbgrader", {}).get("grade"):
            yield cell, dict(files)
        elif cell["cell_type"] == "code" and (program := program_of(text_of(cell))):
            files[program[0]] = program[1] + "\n"


def not_as_checked(check: Mapping[str, Any], files: Mapping[str, str]) -> str:
    """Say of which program a check's card no longer speaks; "" if it does, or does not tell.

    Args:
        check: The cell with the check and its outputs.
        files: The files that the cells above it put on the board.
    """
    shown = (output.get("data", {}).get("text/html", "") for output in check.get("outputs", ()))
    judged = texts_judged("".join("".join(html) for html in shown))
    told = [(CHANGED if name in files else GONE).format(name) for name, mark in judged.items()
            if name not in files or text_mark(files[name]) != mark]  # fmt: skip
    return told[0] if told else ""
