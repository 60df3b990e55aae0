"""Second: a second marker for answers in words, and how far two markers agree.

A sample is drawn from what has been marked, over low, middle and high points alike, and written
without names and without the points of the first marker.  Each answer in it has a key of its own,
and the course keeps whose it is: a class list that changes meanwhile moves no points.  Agreement is
the share of equal points and Cohen's kappa, which takes off what two markers would agree in by
chance.

Source: J. Cohen, "A coefficient of agreement for nominal scales", Educational and Psychological
Measurement 20 (1960) 37-46: kappa = (p_o - p_e) / (1 - p_e).
"""

from __future__ import annotations

import csv
import hashlib
import io
import itertools
import random
import secrets
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from robotsim import KitError

from ..course.classroom import OWN
from ..course.note import read_note, write_note
from ..course.open_course import OpenCourse
from ..course.roster import Roster, roster_of
from ..course.written import LONG, csv_rows, surplus
from ..shown import on_page
from ..whole import put_aside, write_whole
from ..words import counted
from .answers import Answer, answers_of, folded_question
from .appeals import why_uncounted
from .harmless import rendered
from .served import FETCHES_NOTHING

__all__ = ["Agreement", "agreement", "compare", "draw"]

_HEADS = ["answer", "task", "points"]
_EARLIER = ["learner", "task", "points"]
"""What an earlier edition wrote: numbers that moved with the class list."""
_FOLDER = "second"
_POINTS = "points.csv"
_NOTE = "drawn.json"
_USUAL = 20
_LETTERS = "bcdfghjkmnpqrstvwxz"
"""What a draw is called with: no word, and no spreadsheet takes it for a number or a date."""


class _Row(NamedTuple):
    """A row that a second marker has filled in: its line, the answer's key, task and points."""

    line: int
    key: str
    task: str
    given: str


@dataclass(frozen=True)
class Agreement:
    """How far two markers agree.

    Attributes:
        answers: How many both have marked.
        equal: The share of those to which both gave the same.
        kappa: Cohen's kappa; None where both gave one and the same to all.
        apart: The mean difference of the points, the second less the first.
    """

    answers: int
    equal: float
    kappa: float | None
    apart: float


def agreement(pairs: Sequence[tuple[float, float]]) -> Agreement:
    """Give how far two markers agree.

    Args:
        pairs: The points of the first and of the second marker, an answer each; at least one.
    """
    count = len(pairs)
    equal = sum(one == other for one, other in pairs) / count
    first, second = Counter(one for one, _ in pairs), Counter(other for _, other in pairs)
    by_chance = sum(first[points] * second[points] for points in first) / count**2
    kappa = None if by_chance == 1.0 else (equal - by_chance) / (1.0 - by_chance)
    return Agreement(count, equal, kappa, sum(b - a for a, b in pairs) / count)


def draw(course: Path, size: int | None = None, seed: int = 0) -> Iterator[str]:
    """Write a sample of marked answers, for somebody who marks them once more.

    Of whom a lesson is not asked, or who is not in the roster, nothing is drawn.

    Args:
        course: The course folder.
        size: How many answers; None for the usual number, or all if there are fewer.
        seed: Another number draws others.

    Yields:
        A line for each file written.

    Raises:
        KitError: No answer is marked yet.
    """
    opened = OpenCourse(course)
    answers = [one for one in answers_of(opened.course) if not one.score.by_hand and
               not why_uncounted(opened.course, one.score.learner, one.score.lesson)]
    if not answers or size is not None and size < 1:
        raise KitError("There is nothing to draw from.", where=str(course),
                       hint="mark answers in words in the form grader first.")  # fmt: skip
    random.Random(seed).shuffle(answers)
    # In turns from the lowest to the highest share: a plain draw of a few may leave out one end.
    answers.sort(key=lambda one: one.score.points / one.score.most)
    count = min(size or _USUAL, len(answers))
    chosen = [answers[(2 * k + 1) * len(answers) // (2 * count)] for k in range(count)]
    chosen.sort(key=lambda one: (one.score.cell, _mark(one)))  # an order that tells nobody's name
    code = "".join(secrets.choice(_LETTERS) for _ in range(5))
    keyed = {f"{code}-{k:02}": one for k, one in enumerate(chosen, 1)}
    _keep_drawn(opened.course, keyed)
    rows = [[key, one.score.cell, ""] for key, one in keyed.items()]
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([_HEADS, *rows])
    folder = opened.course / _FOLDER
    yield from _kept(folder / _POINTS)
    write_whole(folder / _POINTS, ("\ufeff" + out.getvalue()).encode("utf-8"))
    write_whole(folder / "answers.html", _page(keyed).encode("utf-8"))
    yield f"{counted(count, 'answer')} to be marked once more: {folder / 'answers.html'}"
    if size and count < size:
        yield f"{size} were asked for; no more are marked yet"
    yield f"Their points go into {folder / _POINTS}, then: `second FOLDER {_POINTS}`"


def _page(keyed: Mapping[str, Answer]) -> str:
    """Show the answers, those to one question below it and how it is marked."""
    parts = []
    for cell, own in itertools.groupby(keyed.items(), lambda pair: pair[1].score.cell):
        shown = [*own]
        parts += [f"<h2>{on_page(cell)}</h2>{folded_question(shown[0][1])}"]
        parts += [f"<section><h3>{key} <small>of {one.score.most:g} points</small></h3>"
                  f"{rendered(one.text, one.pictures)}</section>" for key, one in shown]
    return (f"<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'>"
            f"{FETCHES_NOTHING.format(more='')}<title>To be marked once more</title></head>"
            f"<body style='font:16px/1.45 system-ui;max-width:56em;margin:1em auto'>"
            f"<h1>To be marked once more</h1>{''.join(parts)}</body></html>")  # fmt: skip


def _drawn_of(course: Path) -> dict[str, tuple[str, str, str]]:
    """Give whose the answers of all draws of this course are.

    Raises:
        KitError: The note of it is damaged.
    """

    def read(told: Any) -> dict[str, tuple[str, str, str]]:
        return {key: (learner, cell, mark) for key, (learner, cell, mark) in told.items()}

    what, without = "The note of what was drawn", "or delete it and draw anew"
    return read_note(course / OWN / _NOTE, read, {}, what, without)


def _keep_drawn(course: Path, keyed: Mapping[str, Answer]) -> None:
    new = {key: (one.score.learner, one.score.cell, _mark(one)) for key, one in keyed.items()}
    write_note(course / OWN / _NOTE, {**_drawn_of(course), **new})


def _mark(answer: Answer) -> str:
    """Tell one text from another."""
    return hashlib.sha256(answer.text.encode("utf-8", "replace")).hexdigest()


def _kept(file: Path) -> Iterator[str]:
    """Put what somebody has filled in out of the way of a new sample, and say where it is."""
    try:
        rows = file.read_text("utf-8-sig").replace(";", ",").splitlines()[1:]
    except FileNotFoundError:
        return
    except (OSError, UnicodeDecodeError):
        rows = [",,in another writing"]
    filled = any("".join(row.split(",")[2:]).strip() for row in rows)
    if filled:
        yield f"What was filled in is kept: {put_aside(file)}"


def compare(course: Path, file: Path) -> Iterator[str]:
    """Compare a second marker's points with those in the gradebook.

    Yields:
        A line for what is left out, for each question and for all, then one for each answer that
        differs, with the learner's id: this is for the first marker's eyes.

    Raises:
        KitError: The file cannot be read, or a row of it is wrong, or none can be compared.
    """
    opened = OpenCourse(course)
    if not file.is_file() and (own := opened.course / _FOLDER / file.name).is_file():
        file = own
    (rows, bad, empty), drawn = _rows(file), _drawn_of(opened.course)
    if rows and not any(row.key in drawn for row in rows):
        raise KitError("This is a sample of another course: none of its answers was drawn here.",
                       where=str(file), hint="name the course folder in which it was drawn; or "
                       "draw anew: `second FOLDER`.")  # fmt: skip
    answers = {(one.score.learner, one.score.cell): one for one in answers_of(opened.course)}
    roster = roster_of(opened.course)
    pairs: dict[str, list[tuple[float, float]]] = {}
    differ, out = [], []
    for row in rows:
        learner, cell, mark = drawn.get(row.key, ("", "", ""))
        if not learner or cell != row.task:
            bad.append((row.line, f"no answer {row.key!r} to {row.task!r} was drawn here"))
            continue
        one = answers.get((learner, cell))
        if why := _left_out(roster, learner, one, mark):
            out.append(f"  {learner} ({row.key}), {cell}: {why}")
            continue
        assert one is not None
        points, score = _number(row.given), one.score
        if wrong := _wrong(row, points, score.most):
            bad.append((row.line, wrong))
        elif points is not None:
            pairs.setdefault(cell, []).append((score.points, points))
            if points != score.points:
                differ.append(f"  {learner} ({row.key}), {cell}: {score.points:g} and {points:g}")
    if bad:
        told = (f"line {line}: {words}" for line, words in sorted(bad))
        raise KitError("\n  ".join(["These rows are wrong:", *told]), where=str(file),
                       hint="take the rows as they were drawn, and mend their points.")  # fmt: skip
    if not pairs and out:
        raise KitError("\n".join(["Nothing can be compared:", *out]), where=str(file),
                       hint="draw anew: `second FOLDER`.")  # fmt: skip
    if not pairs:
        raise KitError("No points stand in the file.", where=str(file),
                       hint="fill in the column `points`.")  # fmt: skip
    yield from ["Left out:", *out] if out else []
    if empty:
        yield f"{counted(empty, 'row')} without points, so not compared"
    for cell, some in pairs.items():
        yield _told(cell, agreement(some))
    if len(pairs) > 1:
        yield _told("all", agreement([pair for some in pairs.values() for pair in some]))
    yield from ["They differ in:", *differ] if differ else []


def _left_out(roster: Roster, learner: str, one: Answer | None, mark: str) -> str:
    """Say why an answer that was drawn cannot be compared now; "" if it can."""
    if roster.lacks(learner):
        return "is not in the roster any more"
    if one is None or _mark(one) != mark:
        return "another answer stands there now than the one that was drawn"
    return "waits for the first marker's points" if one.score.by_hand else ""


def _wrong(row: _Row, points: float | None, most: float) -> str:
    """Say what is wrong with a row's points; "" if nothing is."""
    if points is None:
        return f"{row.given!r} is no number of points"
    if not 0 <= points <= most:
        return f"{row.task} can have 0 to {most:g} points, not {points:g}"
    return ""


def _told(what: str, one: Agreement) -> str:
    kappa = "cannot be told: all are alike" if one.kappa is None else f"{one.kappa:.2f}"
    return (f"{what}: {counted(one.answers, 'answer')}, {100 * one.equal:.0f} % with the same "
            f"points, Cohen's kappa {kappa}, the second marker gave {one.apart:+.2f} on "
            "average")  # fmt: skip


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _rows(file: Path) -> tuple[list[_Row], list[tuple[int, str]], int]:
    """Give the rows that are filled in, those that are wrong by line, and how many are empty."""
    need = "`second FOLDER` writes second/points.csv, to be filled in and saved as CSV."
    table, first = csv_rows(file, "table of points", need, ",".join(_HEADS))
    heads = [head.strip().lower() for head in table[0] or ()]
    if heads == _EARLIER:
        raise KitError(
            "This sample was drawn by an earlier edition of the kit, which kept no note of whose "
            "its rows are: if the class list has changed, they are others' now.",
            where=str(file), hint="`second FOLDER` draws anew.",
        )  # fmt: skip
    if any(heads.count(head) != 1 for head in _HEADS):
        raise KitError(
            f"This is no table of a second marker: its first row is not {', '.join(_HEADS)}.",
            where=f"{file}, line {first}",
            hint="`second FOLDER` writes second/points.csv; fill in its last column.",
        )  # fmt: skip
    rows: list[_Row] = []
    bad: list[tuple[int, str]] = []
    seen: dict[str, int] = {}
    empty = 0
    for line, cells in enumerate(table[1:], first + 1):
        wrong = LONG if cells is None else surplus(cells, heads)
        own = dict(zip(heads, (cell.strip() for cell in cells or ()), strict=False))
        key, task, given = (own.get(head, "") for head in _HEADS)
        if wrong:
            bad.append((line, f"{wrong}; a number with a comma stands in quotation marks"))
        elif not given:
            empty += bool(key)
        elif seen.setdefault(key, line) != line:
            bad.append((line, f"the answer {key!r} has points in line {seen[key]} already"))
        else:
            rows.append(_Row(line, key, task, given))
    return rows, bad, empty
