"""Right programs keep their points on other days than the one that a check happens to have.

An ordinary run tries a few; `--long` tries every right program on 50 days, by turns on a few tugs,
and writes into `tests/programs/DAYS.md` how often it kept everything.  Of the tasks whose checks
take most of a second or more it tries 20 days: all 50 on each tug would take a core four hours.
"""

from __future__ import annotations

import functools
from collections import Counter
from pathlib import Path

import pytest

from checks import TASKS, check, judge
from robotsim import Recording
from robotsim.parts import Day, seed_day
from tests.checks.test_programs import beside, programs
from tests.checks.tuning import FEW, tuned

DAYS, FEWER = 50, 20
SLOW = ("line.onoff", "line.stop", "turn.quarter", "radio.helm", "radio.lost",
        "harbour.leg", "harbour.run")  # fmt: skip
"""Tasks that are tried on fewer days."""
LEAST = 0.99
TABLE = Path(__file__).parent.parent / "programs" / "DAYS.md"
SOME = ("drive.start", "drive.straight", "drive.curve", "drive.square", "arm.knock", "turn.quarter")
_check_day = judge.check_day


def lost(task: str, program: str, serial: int, days: range) -> Counter[str]:
    """Check a right program on some days: which criteria lost points, how often; "" for kept."""
    text = tuned(task, programs(task)[program], serial)
    files = {**beside(task), TASKS[task].program: text}
    found: Counter[str] = Counter()
    with pytest.MonkeyPatch.context() as patch:
        for day in days:
            named = functools.partial(_another, day)
            patch.setattr(judge, "check_day", named)
            card = check(task, files=files, serial=serial)
            found.update({row.criterion.title for row in card.rows if not row.full} or {""})
    return found


def _another(day: int, *trial: object) -> str:
    return f"{_check_day(*trial)}, {day}"


@pytest.mark.parametrize("task", SOME)
def test_a_right_program_keeps_its_points_on_other_days(task: str) -> None:
    name = sorted(programs(task, "right_"))[-2]
    for serial in FEW[1::2]:
        found = lost(task, name, serial, range(2))
        assert found[""] == 2, f"{name}, tug {serial}: {found}"


@pytest.mark.long
@pytest.mark.parametrize("task", TASKS)
def test_right_programs_keep_all_on_99_of_100_days(task: str) -> None:
    tugs, number = FEW[1:], FEWER if task in SLOW else DAYS
    rows = {}
    for name in programs(task, "right_"):
        found: Counter[str] = Counter()
        for k, serial in enumerate(tugs):
            found += lost(task, name, serial, range(k, number, len(tugs)))
        rows[name] = found
    _note(task, number, rows)
    kept = [found[""] for found in rows.values()]
    assert sum(kept) >= LEAST * number * len(kept) and min(kept) >= number - 1, rows


def _note(task: str, number: int, found: dict[str, Counter[str]]) -> None:
    """Put the rows of a task's programs into the table."""
    old = TABLE.read_text(encoding="utf-8").splitlines() if TABLE.is_file() else []
    rows = [line for line in old if line.startswith("| `") and f"`{task}`" not in line]
    for name, days in found.items():
        lost_on = ", ".join(f"{title} ({n})" for title, n in days.items() if title)
        rows.append(f"| `{task}` | {name} | {days['']} of {number} | {lost_on or '-'} |")
    head = [
        "# Right programs on other days", "",
        f"Written by `tests/checks/test_days.py`: every right program on {DAYS} days, by turns on",
        f"the tugs {', '.join(map(str, FEW[1:]))}; on {FEWER} where a check takes long.", "",
        "| task | program | kept all points | lost points on (days) |",
        "| --- | --- | --- | --- |",
    ]  # fmt: skip
    order = list(TASKS)
    rows.sort(key=lambda row: order.index(row.split("`")[1]))
    TABLE.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")


# -- whose day it is -------------------------------------------------------------------


def first(task: str, serial: int, variant: int = 0) -> Recording:
    files = {TASKS[task].program: "print('ahoy')"}
    return check(task, files=files, serial=serial, variant=variant).recordings[0]


def test_a_check_has_the_same_day_again_and_none_that_a_seed_gives() -> None:
    days = {
        (task, serial, variant): first(task, serial, variant).day
        for task in ("drive.straight", "drive.start")
        for serial in (7, 8)
        for variant in (0, 1)
    }
    assert len(set(days.values())) == len(days), "each task, tug and variant has its own"
    for (task, serial, variant), day in days.items():
        assert first(task, serial, variant).day == day
        own = Day.of(day, serial)
        for seed in range(200):
            other = Day.of(seed_day(seed), serial)
            assert other.name != day and other.strengths != own.strengths


def test_the_trials_of_one_task_have_days_of_their_own() -> None:
    task = next(name for name, asked in TASKS.items() if len(asked.runs) > 1)
    files = {TASKS[task].program: "print('ahoy')"}
    made = check(task, files=files, serial=7).recordings
    assert len({one.day for one in made}) == len(made) > 1
