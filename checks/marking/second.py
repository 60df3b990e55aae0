"""Second: a second marker for answers in words, and how far two markers agree.

A sample is drawn from what has been marked, over low, middle and high points alike, and written
without names and without the points of the first marker.  Agreement is the share of equal points
and Cohen's kappa, which takes off what two markers would agree in by chance.

Source: J. Cohen, "A coefficient of agreement for nominal scales", Educational and Psychological
Measurement 20 (1960) 37-46: kappa = (p_o - p_e) / (1 - p_e).
"""

from __future__ import annotations

import csv
import io
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from robotsim import KitError

from ..course.open_course import OpenCourse
from ..course.scores import scores
from ..shown import on_page
from ..whole import put_aside, write_whole
from ..words import counted
from .answers import answers_of
from .class_results import numbers_of
from .harmless import rendered
from .served import FETCHES_NOTHING

__all__ = ["Agreement", "agreement", "compare", "draw"]

_HEADS = ["learner", "task", "points"]
_FOLDER = "second"
_POINTS = "points.csv"


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


def draw(course: Path, size: int, seed: int = 0) -> Iterator[str]:
    """Write a sample of marked answers, for somebody who marks them once more.

    Args:
        course: The course folder.
        size: How many answers.
        seed: Another number draws others.

    Yields:
        A line for each file written.

    Raises:
        KitError: No answer is marked yet.
    """
    opened = OpenCourse(course)
    answers = [one for one in answers_of(opened.course) if not one.score.by_hand]
    if not answers or size < 1:
        raise KitError("There is nothing to draw from.", where=str(course),
                       hint="mark answers in words in the form grader first.")  # fmt: skip
    number = numbers_of(opened.course, sorted({s.learner for s in scores(opened)}))
    random.Random(seed).shuffle(answers)
    # In turns from the lowest to the highest share: a plain draw of a few may leave out one end.
    answers.sort(key=lambda one: one.score.points / one.score.most)
    count = min(size, len(answers))
    chosen = [answers[(2 * k + 1) * len(answers) // (2 * count)] for k in range(count)]
    chosen.sort(key=lambda one: (one.score.cell, number[one.score.learner]))
    rows = [[number[one.score.learner], one.score.cell, ""] for one in chosen]
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([_HEADS, *rows])
    folder = opened.course / _FOLDER
    yield from _kept(folder / _POINTS)
    write_whole(folder / _POINTS, ("\ufeff" + out.getvalue()).encode("utf-8"))
    parts = "".join(
        f"<section><h2>{on_page(one.score.cell)}, {number[one.score.learner]} <small>of "
        f"{one.score.most:g} points</small></h2>{rendered(one.text, one.pictures)}</section>"
        for one in chosen
    )  # fmt: skip
    page = (f"<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'>"
            f"{FETCHES_NOTHING.format(more='')}<title>To be marked once more</title></head>"
            f"<body style='font:16px/1.45 system-ui;max-width:56em;margin:1em auto'>"
            f"<h1>To be marked once more</h1>{parts}</body></html>")  # fmt: skip
    write_whole(folder / "answers.html", page.encode("utf-8"))
    yield f"{counted(count, 'answer')} to be marked once more: {folder / 'answers.html'}"
    if count < size:
        yield f"{size} were asked for; no more are marked yet"
    yield f"Their points go into {folder / _POINTS}, then: `second FOLDER {_POINTS}`"


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
        A line for each question and for all, then one for each answer that differs, with the
        learner's id: this is for the first marker's eyes.

    Raises:
        KitError: The file cannot be read, or a row of it is wrong.
    """
    opened = OpenCourse(course)
    if not file.is_file() and (drawn := opened.course / _FOLDER / file.name).is_file():
        file = drawn
    found = {(s.learner, s.cell): s for s in scores(opened) if s.handed_in and not s.by_hand}
    number = numbers_of(opened.course, sorted({s.learner for s in scores(opened)}))
    by_number = {(number[who], cell): score for (who, cell), score in found.items()}
    pairs: dict[str, list[tuple[float, float]]] = {}
    differ, bad = [], []
    for line, (who, cell, given) in _rows(file):
        score, points = by_number.get((who, cell)), _number(given)
        if score is None:
            bad.append(f"line {line}: {who} has no marked answer {cell!r}")
        elif points is None:
            bad.append(f"line {line}: {given!r} is no number of points")
        elif not 0 <= points <= score.most:
            bad.append(f"line {line}: {cell} can have 0 to {score.most:g} points, not {points:g}")
        else:
            pairs.setdefault(cell, []).append((score.points, points))
            if points != score.points:
                differ.append(f"  {score.learner} ({who}), {cell}: {score.points:g} and {points:g}")
    if bad:
        raise KitError("\n  ".join(["These rows are wrong:", *bad]), where=str(file),
                       hint="take the rows as they were drawn, and mend their points.")  # fmt: skip
    if not pairs:
        raise KitError("No points stand in the file.", where=str(file),
                       hint="fill in the column `points`.")  # fmt: skip
    for cell, own in pairs.items():
        yield _told(cell, agreement(own))
    if len(pairs) > 1:
        yield _told("all", agreement([pair for own in pairs.values() for pair in own]))
    yield from ["They differ in:", *differ] if differ else []


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


def _rows(file: Path) -> Iterator[tuple[int, tuple[str, str, str]]]:
    """Give the rows that are filled in, each with its line."""
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as fault:
        raise KitError(f"The points cannot be read: {getattr(fault, 'strerror', '') or fault}.",
                       where=str(file), hint="`second FOLDER` writes second/points.csv, to be "
                       "filled in and saved as CSV.") from fault
    mark = ";" if text.partition("\n")[0].count(";") else ","
    heads = [head.strip().lower() for head in text.partition("\n")[0].split(mark)]
    if heads != _HEADS:
        raise KitError(
            f"This is no table of a second marker: its first row is not {', '.join(_HEADS)}.",
            where=f"{file}, line 1",
            hint="`second FOLDER` writes second/points.csv; fill in its last column.",
        )  # fmt: skip
    for line, row in enumerate(csv.reader(io.StringIO(text), delimiter=mark), 1):
        cells = [cell.strip() for cell in row]
        if line == 1 or not any(cells[2:]):
            continue
        yield line, (cells[0], cells[1], cells[2])
