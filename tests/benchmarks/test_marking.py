"""A class of thirty over all graded lessons: ours and stock nbgrader on the same submissions.

Both in one run, one after the other, on this machine's cores; told as ratios, of the clock and, for
a machine with other work, of the processor's time.  `QUAYSIDE_CLASS` takes another size of the
class than 30.
"""

from __future__ import annotations

import faulthandler
import os
import shutil
import time
from pathlib import Path

import pytest

from checks.course.classroom import open_class
from checks.course.config import make_course
from checks.course.lessons import LESSONS, Lesson, find_lessons
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.demo.made_up import ENDLESS, TYPICAL, Learner
from checks.demo.marked import graded_lessons, hand_in
from checks.marking.client import Worker
from checks.marking.marker import mark
from checks.marking.pool import LocalPool
from tests.benchmarks.spent import forked, spent
from tests.checks.stock import autograde, generate

pytestmark = pytest.mark.long

SIZE = int(os.environ.get("QUAYSIDE_CLASS", "30"))


def work(number: int) -> Learner:
    """Give a learner whose programs are nobody else's: right, typical, half done, one endless."""

    def one(place: int, task: str, starter: str, solution: str) -> str:
        own = f"# number {number}\n"
        if number == 9 and place == 1:
            return own + ENDLESS
        if number % 5 == 4 and place:
            return own + starter
        return own + (TYPICAL.get(task, solution) if number % 2 else solution)

    return Learner(f"learner{number:02}", "", one, "It keeps what it was last sent.")


def lessons() -> list[Lesson]:
    """Give the graded lessons that are built."""
    if all(lesson.notebook.exists() for lesson in find_lessons()):
        return graded_lessons()
    return [one for one in find_lessons() if one.notebook.exists() and one.id != "start"]


@pytest.fixture
def by_nurseries(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The processor's time in s of each worker's nursery and of all that it forked."""
    times: list[float] = []
    stop = Worker.stop

    def counted(worker: Worker) -> None:
        if worker._process is not None:
            times.append(forked(worker._process.pid))
        stop(worker)

    monkeypatch.setattr(Worker, "stop", counted)
    return times


def test_a_class_of_thirty(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], found: dict[str, str],
    by_nurseries: list[float],
) -> None:  # fmt: skip
    faulthandler.cancel_dump_traceback_later()  # minutes are meant here
    people, chosen = [work(k) for k in range(SIZE)], lessons()
    ours, stock = tmp_path / "ours", tmp_path / "stock"
    roster = tmp_path / "class.csv"
    # Stock marking knows the tables and days of the lessons alone: variant 0.
    roster.write_text("id,variant\n" + "".join(f"{p.id},0\n" for p in people), encoding="utf-8")
    list(open_class(ours, roster, ids=[one.id for one in chosen]))
    make_course(stock, LESSONS, stock=True)
    for lesson in chosen:
        generate(stock, lesson.id)
        for person in people:
            hand_in(ours, lesson, person)
    shutil.copytree(ours / "submitted", stock / "submitted", dirs_exist_ok=True)

    began, busy = time.perf_counter(), sum(spent())
    with capsys.disabled():
        said = mark(ours, pool=LocalPool(2))
    quick, busy = time.perf_counter() - began, sum(spent()) - busy + sum(by_nurseries)
    began, theirs = time.perf_counter(), sum(spent())
    for lesson in chosen:
        autograde(stock, lesson.id)
    slow, theirs = time.perf_counter() - began, sum(spent()) - theirs
    began = time.perf_counter()
    assert mark(ours, pool=LocalPool(2)).done == 0
    again = time.perf_counter() - began

    count = len(people) * len(chosen)
    found[f"marking {count} submissions, ours"] = (
        f"{quick:.0f} s on two cores ({busy / count:.2f} s of the processor each)"
    )
    found["the same, stock nbgrader autograde"] = (
        f"{slow:.0f} s: {slow / quick:.1f} times as long ({theirs / count:.2f} s of the processor"
        f" each: {theirs / busy:.1f} times as much)"
    )
    found["the same once more, nothing changed"] = f"{again:.1f} s"
    assert said.done == count and not said.for_you
    assert points(ours) == points(stock)


def points(course: Path) -> dict[tuple[str, str], tuple[float, bool]]:
    return {(s.learner, s.cell): (s.points, s.by_hand) for s in scores(OpenCourse(course))}
