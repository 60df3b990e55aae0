"""Python words: a note where a word of Python is first used, in the copies that learners get.

The lessons take for granted a name, a number, `print`, a `for` loop, and sums.  Whatever else the
code that a learner sees uses has a row in `python_words.json`; the note stands before the first
cell that uses it, in the first lesson that does.  A test holds that every kind has its row.
"""

from __future__ import annotations

import ast
import functools
import json
from collections.abc import Sequence
from pathlib import Path

from nbformat import NotebookNode

from robotsim.notebook import program_cell

from .files import markdown_cell
from .lessons import Lesson, find_lessons, place_of
from .regions import starter

__all__ = ["GRANTED", "WORDS", "add_notes", "kinds_of"]

GRANTED = frozenset(
    "Add Assign Attribute BinOp Call Compare Constant Div Eq Expr For FormattedValue Gt GtE Load "
    "Lt LtE Module Mult Name NotEq Store Sub UAdd USub UnaryOp alias arg arguments comprehension "
    "keyword".split()
)
"""What is taken for granted, or is a part of something that has its own row."""

WORDS: dict[str, str] = json.loads(
    Path(__file__).with_name("python_words.json").read_text(encoding="utf-8")
)
"""The kinds of Python's syntax tree, or calls, by which a word is known; and what is said of it."""

_OF = {kind: words for kinds, words in WORDS.items() for kind in kinds.split()}
_HEAD = "**Python, in case it is new to you**\n"


def add_notes(notebook: NotebookNode, lesson: Lesson) -> None:
    """Put a note before each cell of a copy that is the first to use a word of Python."""
    known = _known_before(lesson)
    cells: list[NotebookNode] = []
    for cell in notebook.cells:
        fresh = _fresh(cell.source, known) if cell.cell_type == "code" else []
        if fresh:
            note = markdown_cell(_HEAD + "".join(f"\n- {words}" for words in fresh))
            note["id"] = f"{lesson.id}-python-{len(cells)}"
            cells.append(note)
        cells.append(cell)
    notebook.cells = cells


@functools.lru_cache(maxsize=1024)
def kinds_of(source: str) -> tuple[str, ...]:
    """Give the kinds of syntax, and the calls by a plain name, that a cell uses, in order.

    Each once.  They are kept: each lesson's copy asks for those of all lessons before it.
    """
    program = program_cell(source)
    if program is None and source.startswith("%%"):
        return ()
    try:
        tree = ast.parse(starter(program[1]) if program else source)
    except SyntaxError:  # a learner may be shown what cannot run
        return ()
    found: dict[str, None] = {}
    for node in ast.walk(tree):
        found[type(node).__name__] = None
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found[f"{node.func.id}()"] = None
    return tuple(found)


def _fresh(source: str, known: set[str]) -> Sequence[str]:
    """Give what is to be said before a cell; it is known from then on."""
    found = {words: None for kind in kinds_of(source) if (words := _OF.get(kind))}
    fresh = [words for words in WORDS.values() if words in found and words not in known]
    known.update(fresh)
    return fresh


def _known_before(lesson: Lesson) -> set[str]:
    """Give what the lessons before one have said."""
    known: set[str] = set()
    for other in find_lessons(lesson.folder):
        if place_of(other.id) < place_of(lesson.id) and other.notebook.exists():
            for source in _code(other.notebook, other.notebook.stat().st_mtime_ns):
                _fresh(source, known)
    return known


@functools.lru_cache(maxsize=32)
def _code(notebook: Path, stamp: int) -> tuple[str, ...]:
    """Give the code of a built notebook, read once as long as it stays the same."""
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    return tuple("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
