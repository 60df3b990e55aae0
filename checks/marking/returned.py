"""Returned: what goes back to one learner of one lesson, read from gradebook, notes and notebook.

Nothing here is worked out anew, and nothing is rendered by nbconvert: a page takes hundredths of a
second, so that a class needs no second core for it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..course.content import SCHEME
from ..course.regions import ANSWER
from ..course.scores import earned
from .decided import reasons
from .evidence import lost_trial
from .noted import other_tug, state_of
from .store import Store
from .submitted import handed_out

__all__ = ["Part", "Returned", "headed", "read_back"]

_POINTS = re.compile(r"\s*\([\d.]+ points?\)\s*$")
_FIRST = re.compile(r"^#{1,3} +(.+)$", re.M)

Cell = dict[str, Any]


@dataclass(frozen=True)
class Part:
    """One graded cell.

    Attributes:
        cell: Its name.
        title: What the task or question is called.
        points: What it has earned so far.
        most: What it can earn.
        waits: Whether a person has still to give points.
        found: What the check found where a person has given other points; None where none has.
        why: Why a person has given these points, in words; "" where nothing was said.
        about: What came of the check, see `worker`; empty for an answer in words.
        evidence: What was shown to the mentor below the card, as HTML.
        program: The text of the program that was marked, "" for an answer.
        question: The question, as Markdown; "" for a task.
        answer: The learner's answer, as Markdown, and the pictures that it carries.
        scheme: How it is marked, as Markdown.
        comments: The mentor's words.
        replay: The file beside the page in which the recording can be played, "" for none.
    """

    cell: str
    title: str
    points: float
    most: float
    waits: bool
    found: float | None
    why: str
    about: Mapping[str, Any]
    evidence: str
    program: str
    question: str
    answer: tuple[str, Mapping[str, Any]]
    scheme: str
    comments: tuple[str, ...]
    replay: str


@dataclass(frozen=True)
class Returned:
    """One lesson of one learner.

    Attributes:
        title: The lesson's.
        name: The learner's.
        parts: The graded cells in order.
        penalty: The points that were taken off for being late.
        hours_late: How late it was.
        by_hand: Whether a person has given all of it, and no notebook was marked.
        tugs: The tug of which the notebook shows its runs and the one that it was marked with,
            where they are two.
    """

    title: str
    name: str
    parts: tuple[Part, ...]
    penalty: float
    hours_late: float
    by_hand: bool = False
    tugs: tuple[int, int] | None = None


def read_back(store: Store, submission: Any, path: Path) -> Returned:
    """Read all that a page shows.

    Args:
        store: What marking has worked out.
        submission: The gradebook's entry of it.
        path: The marked notebook; one that is not there has no cells.
    """
    learner, lesson = path.parts[-3:-1]
    there = path.is_file()
    marked: list[Cell] = json.loads(path.read_text("utf-8"))["cells"] if there else []
    copy: list[Cell] = json.loads(handed_out(store.course, lesson))["cells"]
    entry = next(note for note in submission.notebooks if note.name == lesson)
    # nbgrader's own remark on an answer that nobody touched is no mentor's word.
    comments = {c.name: c.manual_comment for c in entry.comments if c.manual_comment}
    state = state_of(store.course, learner, lesson)
    cells, theirs = _by_name(marked), _by_name(copy)
    titles = dict(headed(copy))
    grades = {grade.name: grade for grade in entry.grades}
    said = reasons(store.course, learner, lesson)
    parts = []
    for name in (n for n in theirs if n in grades):
        result = store.by_mark(state.get("checks", {}).get(name, ""))
        about = result.about if result is not None else {}
        grade, own = grades[name], cells.get(name, {})
        by_hand = grade.manual_score is not None and not grade.needs_manual_grade
        after, why = said.get(name, (None, ""))
        lost = result is not None and lost_trial(result) is not None
        parts.append(Part(
            cell=name, title=about.get("title") or titles.get(name, name.replace("-", " ")),
            points=earned(grade), most=grade.max_score, waits=bool(grade.needs_manual_grade),
            found=float(about.get("points", 0.0)) if by_hand and about else None,
            why=why if by_hand and after == grade.manual_score else "", about=about,
            evidence=_below_card(own, about), program=_text(cells.get(f"{name}-program", {})),
            question=_text(theirs.get(f"{name}-question", {})),
            answer=_answer(own), scheme=_scheme(cells.get(f"{name}-question", {})),
            comments=tuple(comments[n] for n in (name, f"{name}-program") if n in comments),
            replay=f"{name}.html" if lost else "",
        ))  # fmt: skip
    title = next((t for t in map(_heading, copy) if t), lesson)
    who = submission.student
    called = " ".join(filter(None, (who.first_name, who.last_name))) or who.id
    return Returned(title, called, tuple(parts), entry.late_submission_penalty or 0.0,
                    submission.total_seconds_late / 3600, by_hand=not there,
                    tugs=other_tug(state) if there else None)  # fmt: skip


def _by_name(cells: Iterable[Cell]) -> dict[str, Cell]:
    named = ((cell["metadata"].get("nbgrader", {}).get("grade_id", ""), cell) for cell in cells)
    return {name: cell for name, cell in named if name}


def _text(cell: Cell) -> str:
    return "".join(cell.get("source", ""))


def _heading(cell: Cell) -> str:
    found = _FIRST.search(_text(cell)) if cell["cell_type"] == "markdown" else None
    return _POINTS.sub("", found[1]) if found else ""


def headed(cells: Iterable[Cell]) -> Iterator[tuple[str, str]]:
    """Give each named cell with the last heading above it."""
    title = ""
    for cell in cells:
        title = _heading(cell) or title
        name = cell["metadata"].get("nbgrader", {}).get("grade_id", "")
        if name and title:
            yield name, title


def _below_card(cell: Cell, about: Mapping[str, Any]) -> str:
    """Give what stands below the card in the output that marking wrote, and only if it wrote it."""
    for output in cell.get("outputs", ()):
        shown = "".join(output.get("data", {}).get("text/html", ""))
        card = about.get("card", "")
        if card and shown.startswith(card):
            return shown[len(card) :]
    return ""


def _answer(cell: Cell) -> tuple[str, Mapping[str, Any]]:
    text = _text(cell) if cell.get("cell_type") == "markdown" else ""
    return ("" if text.strip() == ANSWER else text), cell.get("attachments", {})


def _scheme(question: Cell) -> str:
    found = SCHEME.search(_text(question))
    return found[1] if found else ""
