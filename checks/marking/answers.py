"""Answers: all answers in words of a class, and the page on which they stand in a row.

It is for whoever marks without the form grader.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from ..course.grader import Score, scores
from ..course.regions import ANSWER
from ..shown import on_page
from .desk_order import with_rubric
from .harmless import rendered
from .served import FETCHES_NOTHING

__all__ = ["Answer", "answers_of", "answers_page", "nothing_written"]


class Answer(NamedTuple):
    """One answer that somebody wrote.

    Attributes:
        score: What the gradebook has for it.
        text: The answer, as Markdown.
        pictures: The pictures that it carries.
        question: The question with its rubric, as Markdown.
    """

    score: Score
    text: str
    pictures: Mapping[str, Any]
    question: str


def answers_of(course: Path) -> Iterator[Answer]:
    """Give every answer in words of the marked notebooks; one that was left empty is none."""
    read: dict[tuple[str, str], dict[str, Any]] = {}
    for score in scores(course):
        key = (score.learner, score.lesson)
        if not score.handed_in:
            continue
        if key not in read:
            read[key] = _in_words(course, *key)
        cell = read[key].get(score.cell, {})
        if text := _text(cell):
            question = "".join(read[key].get(f"{score.cell}-question", {}).get("source", ""))
            yield Answer(score, text, cell.get("attachments", {}), with_rubric(question))


def nothing_written(course: Path, learner: str, lesson: str, cell: str) -> bool:
    """Tell whether an answer in words was left empty in the marked notebook."""
    cells = _in_words(course, learner, lesson)
    return cell in cells and not _text(cells[cell])


def _in_words(course: Path, learner: str, lesson: str) -> dict[str, Any]:
    """Give the cells of text of a marked notebook by their names; none where there is none."""
    place = course / "autograded" / learner / lesson / f"{lesson}.ipynb"
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
    for one in answers_of(course):
        if one.score.learner in called:
            rows.setdefault(one.score.cell, []).append(one)
    parts = []
    for cell, own in rows.items():
        own.sort(key=lambda one: not one.score.by_hand)
        waiting = sum(one.score.by_hand for one in own)
        parts.append(f"<h2>{on_page(cell)} <small>{waiting} of {len(own)} wait</small></h2>"
                     "<details><summary>The question, and how it is marked</summary>"
                     f"{rendered(own[0].question)}</details>")  # fmt: skip
        parts += [_shown(one, called[one.score.learner]) for one in own]
    return (f"<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'>"
            f"{FETCHES_NOTHING.format(more='')}<title>Answers in words</title></head>"
            "<body style='font:16px/1.45 system-ui;max-width:56em;margin:1em auto'>"
            f"<h1>Answers in words</h1>{''.join(parts) or '<p>None yet.</p>'}"
            "<p>Points by hand, without the form grader: <code>python3 checks appeal FOLDER "
            "LEARNER TASK --points N --by NAME --why WORDS</code></p></body></html>")  # fmt: skip


def _shown(one: Answer, name: str) -> str:
    score = one.score
    points = "waits, at most" if score.by_hand else f"{score.points:g} of"
    return (f"<section><h3>{on_page(name)} <small>{points} {score.most:g} points · "
            f"<code>{on_page(score.learner)} {on_page(score.cell)}</code></small></h3>"
            f"{rendered(one.text, one.pictures)}</section>")  # fmt: skip
