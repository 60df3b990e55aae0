"""Repair: whatever a learner's file has become, the lesson's cells in it are in order again.

The copy that was handed out is the measure.  Of the learner's file only the texts are taken: the
programs and answers of its cells, and any cells of the learner's own.  What a cell is worth, its
name, its kind and whether it is locked come from the copy that was handed out; outputs are not
taken over.  So deleted, doubled, renamed, moved or retyped cells cost nobody a point that the
program has earned, and no number in the file earns one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from robotsim import KitError

from ..course.programs import program_of
from ..shown import on_line
from .opened import Cell, cells_of

__all__ = ["Repaired", "repair"]

_NUMBER = re.compile(r"-?\d{1,6}(\.\d{1,6})?")
_RUN = re.compile(r"<\w+\.py on [^,<>]+, tug (\d{1,9}), [\d.]+ s: ")
"""How a cell's result names a run (`Recording.__repr__`)."""


@dataclass
class Repaired:
    """A learner's notebook in order.

    Attributes:
        notebook: The notebook as JSON's plain values.
        notes: What was put in order, a sentence each, for a person.
        seen: Name of a check to the points that the learner's file shows there.
        tug: The one tug of which all runs are that the file shows; None where it shows none, or
            runs of several.
    """

    notebook: dict[str, Any]
    notes: list[str] = field(default_factory=list)
    seen: dict[str, str] = field(default_factory=dict)
    tug: int | None = None


def repair(data: bytes, handed_out: bytes, lesson: str) -> Repaired:
    """Bring a learner's file in order.

    Args:
        data: The file that was handed in.
        handed_out: The copy that was handed out.
        lesson: The lesson's id.

    Raises:
        KitError: It is no notebook of this lesson; the words are for the person who marks.
    """
    notes: list[str] = []
    pattern = json.loads(handed_out)
    for cell in pattern["cells"]:
        cell["source"] = "".join(cell["source"])
    anchors = [cell for cell in pattern["cells"] if "nbgrader" in cell["metadata"]]
    own = cells_of(data, notes)
    placed = _match(anchors, own, notes)
    if not any(place is not None for place in placed.values()):
        raise _other_lesson(own, lesson)
    cells = _in_order(anchors, own, placed, notes)
    seen = {}
    for name, place in placed.items():
        shown = _shown(own[place]) if place is not None else None
        if shown is not None:
            seen[name] = shown
    for number, cell in enumerate(cells):
        cell.setdefault("id", f"own-{number}")
    notebook = {
        "cells": cells, "metadata": pattern["metadata"], "nbformat": 4, "nbformat_minor": 5
    }  # fmt: skip
    return Repaired(notebook, notes, seen, _tug(own))


def _match(anchors: Sequence[Cell], own: Sequence[Cell], notes: list[str]) -> dict[str, int | None]:
    """Find for each cell of the lesson the learner's: its place in the file, None if it is gone."""
    placed: dict[str, int | None] = {}
    taken: set[int] = set()
    for cell in anchors:
        name = cell["metadata"]["nbgrader"]["grade_id"]
        program = program_of(cell["source"])
        file = program[0] if program else None
        found = [k for k in _candidates(name, file, cell, own) if k not in taken]
        placed[name] = _choose(cell, found, own, notes)
        if placed[name] is not None:
            taken.add(placed[name])  # type: ignore[arg-type]
    _find_answers(anchors, own, placed, taken)
    for cell in anchors:
        name = cell["metadata"]["nbgrader"]["grade_id"]
        if placed[name] is None:
            notes.append(f"The cell {name} was missing; it was put back as handed out.")
    return placed


def _candidates(name: str, file: str | None, cell: Cell, own: Sequence[Cell]) -> list[int]:
    """Give the cells that may be this one: by name and file, by file, by name, by text."""
    named = [k for k, c in enumerate(own) if name in (c["name"], c["id"])]
    if file is not None:
        same = [k for k, c in enumerate(own) if (program_of(c["source"]) or ("",))[0] == file]
        marked = [k for k in same if k in named]
        if marked or same:
            return marked or same
    if named or file is not None:
        return named
    text = cell["source"].strip()
    return [k for k, c in enumerate(own) if c["source"].strip() == text and not c["name"]]


def _choose(cell: Cell, found: Sequence[int], own: Sequence[Cell], notes: list[str]) -> int | None:
    if not found:
        return None
    about = cell["metadata"]["nbgrader"]
    changed = [k for k in found if own[k]["source"].strip() != cell["source"].strip()]
    if about["locked"] or not changed:
        return found[0]
    if len(changed) > 1:
        notes.append(
            f"There are {len(changed)} cells called {about['grade_id']}; the last one counts."
        )
    return changed[-1]


def _find_answers(
    anchors: Sequence[Cell], own: Sequence[Cell], placed: dict[str, int | None], taken: set[int]
) -> None:
    """Take for an answer without its name the first text of the learner's after the question."""
    known = {cell["source"].strip() for cell in anchors}
    for before, cell in zip(anchors, anchors[1:], strict=False):
        about = cell["metadata"]["nbgrader"]
        question = placed[before["metadata"]["nbgrader"]["grade_id"]]
        if cell["cell_type"] != "markdown" or not about["solution"] or question is None:
            continue
        if placed[about["grade_id"]] is None and question + 1 < len(own):
            after = own[question + 1]
            if question + 1 not in taken and not after["name"] and after["source"] not in known:
                placed[about["grade_id"]] = question + 1
                taken.add(question + 1)


def _in_order(
    anchors: Sequence[Cell], own: Sequence[Cell], placed: dict[str, int | None], notes: list[str]
) -> list[Cell]:
    """Give all cells: the lesson's in the lesson's order, each followed by what stood after it."""
    names = {place: name for name, place in placed.items() if place is not None}
    lesson = {cell["metadata"]["nbgrader"]["grade_id"]: cell for cell in anchors}
    ranks = {name: rank for rank, name in enumerate(lesson)}
    groups: dict[int, list[Cell]] = {-1: []}
    order, here = [], -1
    for place, cell in enumerate(own):
        if place in names:
            name = names[place]
            here = ranks[name]
            order.append(here)
            groups[here] = [_put(lesson[name], cell, notes)]
        else:
            groups[here].append(_free(cell, lesson))
    if order != sorted(order):
        notes.append("The lesson's cells were in another order; they were put back in theirs.")
    for name, rank in ranks.items():
        if rank not in groups:
            groups[rank] = [_put(lesson[name], None, notes)]
    return [cell for rank in sorted(groups) for cell in groups[rank]]


def _put(pattern: Cell, cell: Cell | None, notes: list[str]) -> Cell:
    """Give a cell of the lesson with the learner's text in it, if it is the learner's to write."""
    about = pattern["metadata"]["nbgrader"]
    fresh: Cell = {
        key: pattern[key] for key in ("cell_type", "id", "metadata", "source") if key in pattern
    }
    if cell is not None:
        if not about["locked"]:
            fresh["source"] = cell["source"]
            program = program_of(pattern["source"])
            if program and cell["source"].strip() and program_of(cell["source"]) is None:
                notes.append(f"The cell {about['grade_id']} does not begin with `%%program "
                             f"{program[0]}`, so nothing of it is on the board.")  # fmt: skip
            fresh.update(_attached(pattern["cell_type"], cell))
        elif cell["source"].strip() != pattern["source"].strip():
            notes.append(f"The locked cell {about['grade_id']} was changed; it was put back.")
        if cell["cell_type"] != pattern["cell_type"]:
            notes.append(f"The cell {about['grade_id']} had become another kind of cell.")
    return _with_outputs(fresh)


def _free(cell: Cell, lesson: dict[str, Cell]) -> Cell:
    """Give a cell of the learner's own; a second one of the lesson's name is shown, not read."""
    kind = cell["cell_type"]
    if cell["name"] in lesson and program_of(cell["source"]) is not None:
        kind = "raw"
    fresh = {"cell_type": kind, "metadata": {}, "source": cell["source"]}
    return _with_outputs(fresh | _attached(kind, cell))


def _attached(kind: str, cell: Cell) -> dict[str, Any]:
    """Give a text's pictures; code has none."""
    pictures = cell["attachments"] if kind == "markdown" else None
    return {"attachments": pictures} if pictures else {}


def _with_outputs(cell: Cell) -> Cell:
    if cell["cell_type"] == "code":
        cell.update(execution_count=None, outputs=[])
    return cell


def _shown(cell: Cell) -> str | None:
    """Give the number that a cell's first result shows."""
    text = next(_results(cell), None)
    return text if text is not None and _NUMBER.fullmatch(text) else None


def _tug(own: Sequence[Cell]) -> int | None:
    """Give the tug of which the runs are; a cell that names one by itself may mean any."""
    texts = (text for cell in own if "serial" not in cell["source"] for text in _results(cell))
    tugs = {int(found[1]) for text in texts if (found := _RUN.search(text[:1000]))}
    return tugs.pop() if len(tugs) == 1 else None


def _results(cell: Cell) -> Iterator[str]:
    """Give the texts of a cell's results, "" for one without."""
    outputs = cell["outputs"]
    for output in outputs if isinstance(outputs, list) else ():
        if isinstance(output, dict) and output.get("output_type") == "execute_result":
            data = output.get("data")
            text = data.get("text/plain") if isinstance(data, dict) else None
            text = "".join(map(str, text)) if isinstance(text, list) else text
            yield text if isinstance(text, str) else ""


def _other_lesson(own: Sequence[Cell], lesson: str) -> KitError:
    names = sorted({cell["name"].split("-")[0] for cell in own if cell["name"]} - {lesson})
    other = f" Its cells are called {on_line(', '.join(names)[:80])}-..." if names else ""
    return KitError(
        f"No cell of the lesson {lesson} is in this file.{other}",
        hint="was the file of another lesson handed in? Ask for the right one.",
    )
