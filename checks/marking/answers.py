"""Answers: all answers in words of a class, and the page on which they stand in a row.

It is for whoever marks without the form grader.
"""

from __future__ import annotations

import functools
import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from ..course.open_course import OpenCourse
from ..course.regions import ANSWER
from ..course.scores import Score, scores
from ..course.shelf import SUBMITTED
from ..shown import on_page
from .desk_order import with_rubric
from .harmless import rendered
from .served import FETCHES_NOTHING
from .waiting import waiting

__all__ = ["Answer", "answers_of", "answers_page", "folded_question", "nothing_written"]

_MARKED = "autograded"
_NOBODY = "Nobody has handed in a lesson with a question in words."


class Answer(NamedTuple):
    """One learner's answer in words, or what there is in its place.

    Attributes:
        score: What the gradebook has for it.
        text: The answer, as Markdown; "" where nothing was written, or nothing is marked.
        pictures: The pictures that it carries.
        question: The question with its rubric, as Markdown.
        marked: Whether there is a marked notebook.
    """

    score: Score
    text: str
    pictures: Mapping[str, Any]
    question: str
    marked: bool


def answers_of(course: Path) -> Iterator[Answer]:
    """Give every answer in words of the marked notebooks; one that was left empty is none."""
    return (one for one in _all_of(course) if one.text)


def _all_of(course: Path) -> Iterator[Answer]:
    """Give an answer for each who handed in or has points; also the empty, and what is unmarked."""
    read = functools.cache(lambda folder, lesson: _in_words(course / folder / lesson))
    for score in scores(OpenCourse(course)):
        learner, lesson, name = score.learner, score.lesson, score.cell
        if not score.handed_in and not (course / SUBMITTED / learner / lesson).is_dir():
            continue
        own, asked = read(f"{_MARKED}/{learner}", lesson), read("release", lesson)
        if name in own or name in asked:
            cell = own.get(name, {})
            question = "".join((own or asked).get(f"{name}-question", {}).get("source", ""))
            yield Answer(score, _text(cell), cell.get("attachments", {}), with_rubric(question),
                         marked=name in own)  # fmt: skip


def nothing_written(course: Path, learner: str, lesson: str, cell: str) -> bool:
    """Tell whether an answer in words was left empty in the marked notebook."""
    cells = _in_words(course / _MARKED / learner / lesson)
    return cell in cells and not _text(cells[cell])


def _in_words(folder: Path) -> dict[str, Any]:
    """Give the cells of text of a lesson's notebook by their names; none where there is none."""
    place = folder / f"{folder.name}.ipynb"
    if not place.is_file():
        return {}
    cells = json.loads(place.read_text(encoding="utf-8"))["cells"]
    named = ((c["metadata"].get("nbgrader", {}).get("grade_id", ""), c) for c in cells)
    return {name: c for name, c in named if c["cell_type"] == "markdown"}


def _text(cell: Mapping[str, Any]) -> str:
    """Give what somebody has written into a cell."""
    text = "".join(cell.get("source", ""))
    return "" if text.strip() in ("", ANSWER) else text


def answers_page(course: Path, called: Mapping[str, str]) -> str:
    """Give a page of all answers, question by question, those that wait for a person first.

    Args:
        course: The course folder.
        called: The learners who are shown: id to name.
    """
    rows: dict[str, list[Answer]] = {}
    for one in _all_of(course):
        if one.score.learner in called:
            rows.setdefault(one.score.cell, []).append(one)
    late = waiting(course).another
    parts = [_in_a_row(cell, own, called, late) for cell, own in rows.items()]
    return (f"<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'>"
            f"{FETCHES_NOTHING.format(more='')}<title>Answers in words</title></head>"
            "<body style='font:16px/1.45 system-ui;max-width:56em;margin:1em auto'>"
            f"<h1>Answers in words</h1>{''.join(parts) or f'<p>{_NOBODY}</p>'}"
            "<p>Points by hand, without the form grader: <code>python3 checks appeal FOLDER "
            "LEARNER TASK --points N --by NAME --why WORDS</code></p></body></html>")  # fmt: skip


def _in_a_row(
    cell: str, own: Sequence[Answer], called: Mapping[str, str], late: Collection[tuple[str, str]]
) -> str:
    """Show all answers to one question; who wrote none, and what is not marked, in a line each."""
    written = sorted((one for one in own if one.text), key=lambda one: not one.score.by_hand)
    waiting = sum(one.score.by_hand for one in written)
    wait = f"{waiting} of {len(written)} wait" if written else "no answer to read"
    without = {
        "Nothing was written": [one for one in own if one.marked and not one.text],
        "Not marked yet": [one for one in own if not one.marked],
    }  # fmt: skip
    return (f"<h2>{on_page(cell)} <small>{wait}</small></h2>{folded_question(own[0])}"
            + "".join(_shown(one, called[one.score.learner],
                             late=(one.score.learner, one.score.lesson) in late) for one in written)
            + "".join(f"<p>{why}: {', '.join(_named(one, called) for one in some)}.</p>"
                      for why, some in without.items() if some))  # fmt: skip


def folded_question(one: Answer) -> str:
    """Give an answer's question with its rubric, folded up."""
    return ("<details><summary>The question, and how it is marked</summary>"
            f"{rendered(one.question)}</details>")  # fmt: skip


def _named(one: Answer, called: Mapping[str, str]) -> str:
    """Name a learner who has no answer to show, with the points that they have all the same."""
    score = one.score
    points = f" ({score.points:g} of {score.most:g} points)" if score.points else ""
    return f"{on_page(called[score.learner])} <code>{on_page(score.learner)}</code>{points}"


def _shown(one: Answer, name: str, *, late: bool) -> str:
    """Show one answer; of one that another file is to replace it is said so."""
    score = one.score
    more = " · <b>another file waits for mark: this is of the earlier one</b>" if late else ""
    points = "waits, at most" if score.by_hand else f"{score.points:g} of"
    return (f"<section><h3>{on_page(name)} <small>{points} {score.most:g} points · "
            f"<code>{on_page(score.learner)} {on_page(score.cell)}</code>{more}</small></h3>"
            f"{rendered(one.text, one.pictures)}</section>")  # fmt: skip
