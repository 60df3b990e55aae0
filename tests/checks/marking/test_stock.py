"""The hostile set under stock nbgrader, beside ours: minutes long, told as a table."""

from __future__ import annotations

import faulthandler
from collections.abc import Mapping
from pathlib import Path

import pytest

from checks.course import grader
from checks.course.config import CONFIG, make_course
from robotsim import KitError
from tests.checks.marking.cases import FULL, LESSON, Case
from tests.checks.marking.conftest import HONEST, Class, fill, learner

pytestmark = pytest.mark.long

CELL_S = 10
"""What a cell may take under stock execution here; its own default is no limit at all."""


def stock_course(folder: Path, found: list[Case]) -> Path:
    course = make_course(folder / "stock", stock=True)
    with (course / CONFIG).open("a", encoding="utf-8") as config:
        config.write(f"\nc.Execute.timeout = {CELL_S}\n")
    grader.generate(course, LESSON)
    fill(course, found)
    return course


def alone(course: Path, found: list[Case]) -> dict[str, str]:
    """Mark each by a command of its own; give the complaint where there was one."""
    said = {}
    for name in [*HONEST, *map(learner, found)]:
        try:
            grader.autograde(course, LESSON, name)
        except KitError as fault:
            said[name] = str(fault).strip().splitlines()[-3]
    return said


def got(course: Path, name: str) -> dict[str, float]:
    return {s.cell: s.points for s in grader.scores(course)
            if s.learner == name and s.handed_in and s.cell in FULL}  # fmt: skip


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
    said = alone(course, hostile.cases)
    rows, right = [], 0
    for case in hostile.cases:
        name = learner(case)
        ours = {c: p for (who, c), p in hostile.points.items() if who == name and c in FULL}
        mine = told(ours, case.points, bool(case.line))
        stock = told(got(course, name), case.points, bool(case.line))
        if mine == "not marked":
            mine = "a line for a person"
        right += stock == "right"
        rows.append(f"{case.name:32} {mine:24} {stock:28} {said.get(name, '')[:90]}")
        assert mine in ("right", "a line for a person"), case.name
    whole = stock_course(tmp_path / "whole", hostile.cases)
    try:
        grader.autograde(whole, LESSON)
        ended = "to the end"
    except KitError as fault:
        ended = str(fault).strip().splitlines()[-3]
    marked = [name for name in [*HONEST, *map(learner, hostile.cases)] if got(whole, name)]
    with capsys.disabled():
        print(f"\n{'submission':32} {'ours':24} {'stock nbgrader, one by one':28} its words")
        print("\n".join(rows))
        print(f"stock: {right} of {len(rows)} right")
        print(
            f"stock, the whole class in one command: {len(marked)} of {len(rows) + len(HONEST)}"
            f" have scores, of the honest ones {[name for name in HONEST if name in marked]};"
            f" it ended: {ended}"
        )
