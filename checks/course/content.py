"""Content: whether a notebook that came is work at all, and of which lesson.

Read as plain values: a learner's file is opened and nothing in it is believed.  What is empty,
untouched or of another lesson is kept like everything that comes, but never takes work's place.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator
from typing import Any

__all__ = ["SCHEME", "UNCHANGED", "WAYS", "has_cells", "is_cut_off", "is_the_lesson_itself"]
__all__ += ["lesson_inside", "no_work"]

Cell = dict[str, Any]
SCHEME = re.compile(r"### BEGIN MARK SCHEME\n(.*?)\n### END MARK SCHEME\n?", re.S)
"""How an answer in words is marked, within its question."""
UNCHANGED = "nothing in it was changed"
"""Why a notebook is no work that is as it was handed out."""
WAYS = ("{}-home", "{}-goes-on")
"""The ids of two cells that each copy of a lesson has, whether or not it asks anything."""
_LONGEST_WORD = len("false")
"""Of such a word of JSON a half may be left."""
_SOLVED = b"### BEGIN SOLUTION"
"""Stands in the lessons' own notebooks alone; a copy that was handed out has none."""


def no_work(data: bytes, handed_out: bytes, lesson: str) -> str:
    """Say why a file is no work on a lesson; "" if it may be.

    Args:
        data: The file.
        handed_out: The copy of the lesson that was handed out; empty where there is none.
        lesson: The lesson.
    """
    if not data.strip():
        return "it is empty"
    cells = _cells(data)
    if not cells and is_cut_off(data.decode("utf-8", "replace")):
        return "it is cut off"
    if not cells:
        return "it is no notebook that can be read, or has no cells"
    given = _cells(handed_out)
    if not given:
        return ""
    names, theirs = {*filter(None, map(_name, cells))}, {*filter(None, map(_name, given))}
    texts = {_text(cell) for cell in given}
    if theirs and (names or not any(_text(cell) in texts for cell in cells)) and not names & theirs:
        others = sorted({name.split("-")[0] for name in names})
        return f"its cells are of {', '.join(others)[:60]}" if others else f"nothing of {lesson}"
    if all(_text(cell) in texts for cell in cells if _is_theirs(cell)):
        return UNCHANGED
    return ""


def is_cut_off(text: str) -> bool:
    """Tell whether a notebook's text ends before its end."""
    plain = text.strip("\ufeff\0 \r\n\t")
    try:
        json.loads(plain)
    except json.JSONDecodeError as fault:
        at_end = fault.pos >= len(plain) - _LONGEST_WORD or fault.msg.startswith("Unterminated")
        return plain.startswith("{") and at_end
    except (ValueError, RecursionError):
        pass
    return False


def has_cells(data: bytes) -> bool:
    """Tell whether a file is a notebook, whatever it is called."""
    return bool(_cells(data))


def lesson_inside(data: bytes, lessons: Collection[str]) -> str | None:
    """Give the lesson of which a notebook's cells are, or None if that is not one alone."""
    ids = {way.format(lesson): lesson for lesson in lessons for way in WAYS}
    names = [ids.get(str(cell.get("id"))) or _name(cell) for cell in _cells(data)]
    found = {name.split("-")[0] for name in names if name} & set(lessons)
    return found.pop() if len(found) == 1 else None


def is_the_lesson_itself(data: bytes) -> bool:
    """Tell whether a file is a lesson's own notebook, solutions and all, and nobody's work."""
    return _SOLVED in data


def _cells(data: bytes) -> list[Cell]:
    try:
        cells = json.loads(data)["cells"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return []
    return [cell for cell in cells if isinstance(cell, dict)] if isinstance(cells, list) else []


def _about(cell: Cell) -> dict[str, Any]:
    metadata = cell.get("metadata")
    about = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    return about if isinstance(about, dict) else {}


def _name(cell: Cell) -> str:
    name = _about(cell).get("grade_id")
    return name if isinstance(name, str) else ""


def _text(cell: Cell) -> str:
    source = cell.get("source")
    rows: Iterator[str] = map(str, source) if isinstance(source, list) else iter([str(source)])
    return "".join(rows).replace("\r\n", "\n").strip()


def _is_theirs(cell: Cell) -> bool:
    """Tell whether a learner works in a cell: code, and answers in words."""
    plain = cell.get("cell_type") == "code" and _text(cell) != ""
    return plain or bool(_about(cell).get("solution"))
