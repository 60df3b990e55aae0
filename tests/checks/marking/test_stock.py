"""The hostile set under stock nbgrader, beside ours: minutes long, told as a table."""

from __future__ import annotations

import faulthandler
from collections.abc import Mapping
from pathlib import Path

import pytest

from checks.course.config import CONFIG, make_course
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from robotsim import KitError
from tests.checks.marking.cases import FULL, LESSON, Case
from tests.checks.marking.conftest import HONEST, Class, fill, learner
from tests.checks.stock import autograde, feedback, generate

pytestmark = pytest.mark.long

THIEF = "cell-writes-gradebook"
CELL_S = 10
"""What a cell may take under stock execution here; its own default is no limit at all."""


def stock_course(folder: Path, found: list[Case]) -> Path:
    course = make_course(folder / "stock", stock=True)
    with (course / CONFIG).open("a", encoding="utf-8") as config:
        config.write(f"\nc.Execute.timeout = {CELL_S}\n")
    generate(course, LESSON)
    fill(course, found)
    return course


Scores = dict[str, dict[str, float]]


def everybody(course: Path) -> Scores:
    """Give what everyone has in the gradebook."""
    found: Scores = {}
    for s in scores(OpenCourse(course)):
        if s.handed_in and s.cell in FULL:
            found.setdefault(s.learner, {})[s.cell] = s.points
    return found


def alone(course: Path, found: list[Case]) -> tuple[Scores, dict[str, str]]:
    """Mark each by a command of its own; give the scores, and the complaints where there are any.

    The one that gives everyone 99 points a task comes last, so that the others can be told apart.
    """
    said: dict[str, str] = {}
    names = [*HONEST, *map(learner, found)]
    for name in names:
        if name != THIEF:
            said[name] = marked_alone(course, name)
    before = everybody(course)
    said[THIEF] = marked_alone(course, THIEF)
    after = everybody(course)
    richer = sum(after[name] != before[name] for name in before)
    if richer:
        said[THIEF] = f"changed the scores of {richer} others"
    return before | {THIEF: after.get(THIEF, {})}, said


def marked_alone(course: Path, name: str) -> str:
    """Mark one; give nbgrader's complaint, or what it let through."""
    try:
        autograde(course, LESSON, name)
    except KitError as fault:
        words = [row for row in str(fault).splitlines() if "traceback" not in row][1:3]
        return " ".join(words).replace("[AutogradeApp | ERROR] ", "")
    if "script" in name:
        feedback(course, LESSON, name)
        page = course / "feedback" / name / LESSON / f"{LESSON}.html"
        if "<script>document.title='acted'" in page.read_text(encoding="utf-8"):
            return "its script acts in the page that goes back"
    return ""


def told(points: Mapping[str, float], wanted: Mapping[str, float], line: bool) -> str:
    """Say what came of one submission in a few words."""
    if line:
        return "not marked" if not points else f"{sum(points.values()):g} points for no notebook"
    if not points:
        return "NOT MARKED"
    if dict(points) == dict(wanted):
        return "right"
    return f"WRONG: {sum(points.values()):g} for {sum(wanted.values()):g}"


def test_both_columns(hostile: Class, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    faulthandler.cancel_dump_traceback_later()  # minutes are meant here
    course = stock_course(tmp_path, hostile.cases)
    scores, said = alone(course, hostile.cases)
    rows, right = [], 0
    for case in hostile.cases:
        name = learner(case)
        ours = {c: p for (who, c), p in hostile.points.items() if who == name and c in FULL}
        mine = told(ours, case.points, bool(case.line))
        stock = told(scores.get(name, {}), case.points, bool(case.line))
        if mine == "not marked":
            mine = "a line for a person"
        right += stock == "right"
        rows.append(f"{case.name:32} {mine:24} {stock:28} {said.get(name, '')[:90]}")
        assert mine in ("right", "a line for a person"), case.name
    whole = stock_course(tmp_path / "whole", hostile.cases)
    try:
        autograde(whole, LESSON)
        ended = "to the end"
    except KitError as fault:
        ended = str(fault).strip().splitlines()[-3]
    marked = everybody(whole)
    with capsys.disabled():
        print(f"\n{'submission':32} {'ours':24} {'stock nbgrader, one by one':28} its words")
        print("\n".join(rows))
        print(f"stock: {right} of {len(rows)} right")
        print(
            f"stock, the whole class in one command: {len(marked)} of {len(rows) + len(HONEST)}"
            f" have scores, of the honest ones {[name for name in HONEST if name in marked]};"
            f" it ended: {ended}"
        )
