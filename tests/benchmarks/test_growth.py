"""How costs grow with what is asked: seconds of a trial, printed lines, and learners of a class.

Processor time of four times as much against that of once: about 4 or less, if it grows in a
straight line.
"""

from __future__ import annotations

import faulthandler
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from checks.course.classroom import open_class
from checks.demo.marked import hand_in
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.pool import LocalPool
from checks.marking.report import report
from robotsim import Recording, Whose, run_trial
from robotsim.notebook import run
from tests.benchmarks.spent import spent
from tests.benchmarks.test_marking import lessons, work
from tests.benchmarks.test_speed import PROGRAM

SECONDS, LINES, LEARNERS, MORE = 30.0, 2000, 12, 4
LESSON = "turn"


def cost(task: Callable[[], Any], rounds: int = 3) -> float:
    """Give the least processor time in s of a few rounds."""
    took = []
    for _ in range(rounds):
        before = sum(spent())
        task()
        took.append(sum(spent()) - before)
    return min(took)


def tell(found: dict[str, str], what: str, once: float, more: float) -> None:
    found[f"growth with {what}"] = (
        f"{MORE} times as much costs {more / once:.1f} times as much ({once:.2f} and {more:.2f} s)"
    )


def test_growth_with_a_trials_seconds(found: dict[str, str]) -> None:
    def follow(seconds: float) -> None:
        assert run_trial(PROGRAM, table="quay", seconds=seconds).tracks["t"][-1] == seconds

    once, more = (cost(partial(follow, s)) for s in (SECONDS, MORE * SECONDS))
    tell(found, "a trial's seconds", once, more)


def test_growth_with_printed_lines(
    found: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    def show(lines: int) -> None:
        talk = f"for k in range({lines}):\n    print(k)\n"
        made = run("a.py", files={"a.py": talk}, whose=Whose.OWN, seconds=30, replay=True)
        assert isinstance(made, Recording) and len(made.printed) == lines
        assert f"It printed {lines} lines" in capsys.readouterr().out

    once, more = (cost(partial(show, n)) for n in (LINES, MORE * LINES))
    tell(found, "printed lines, run and shown", once, more)


@pytest.mark.long
def test_growth_with_a_class(found: dict[str, str], tmp_path: Path) -> None:
    faulthandler.cancel_dump_traceback_later()  # minutes are meant here
    costs: list[dict[str, float]] = []
    lesson = next(one for one in lessons() if one.id == LESSON)
    for count in (LEARNERS, MORE * LEARNERS):
        course, people = tmp_path / str(count), [work(k) for k in range(count)]
        roster = tmp_path / f"{count}.csv"
        roster.write_text("id\n" + "".join(f"{p.id}\n" for p in people), encoding="utf-8")
        list(open_class(course, roster, ids=[LESSON]))
        for person in people:
            hand_in(course, lesson, person)
        costs.append({
            "marked": cost(partial(mark, course, pool=LocalPool(2)), 1),
            "with pages that go back": cost(partial(_pages, course), 1),
            "reported": cost(partial(report, course)),
        })
    for what in costs[0]:
        tell(found, f"a class, {what}", *(each[what] for each in costs))


def _pages(course: Path) -> None:
    assert "written anew" in list(feedback(course))[-1]
