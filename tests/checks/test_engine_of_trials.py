"""check(..., engine=): every trial is the engine's, also those that a task runs on the way."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import checks.judge
import checks.task
from checks import TASKS, check
from robotsim import Recording, Whose, run_trial
from robotsim.trial import run_trials
from tests.checks.test_programs import beside

TASK_FILES = Path(checks.task.__file__).parent / "tasks"
PROGRAMS = Path(__file__).parents[1] / "programs"


@pytest.fixture
def engine() -> str:
    return "micropython"


@pytest.mark.parametrize("task", ["powerup.network", "board.fit"])
def test_a_check_runs_every_trial_under_the_engine_that_was_asked_for(
    task: str, engine: str, need_engine: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    ran: list[str] = []

    def watched(*files: Any, **options: Any) -> Recording:
        made = run_trial(*files, **options)
        ran.append(made.engine)
        return made

    def all_watched(*given: Any, **options: Any) -> Iterator[Recording]:
        for made in run_trials(*given, **options):
            ran.append(made.engine)
            yield made

    monkeypatch.setattr(checks.judge, "run_trials", all_watched)
    monkeypatch.setattr(checks.task, "run_trial", watched)
    right = sorted((PROGRAMS / task.replace(".", "/")).glob("right_*.py"))[0]
    files = {**beside(task), TASKS[task].program: right.read_text(encoding="utf-8")}
    check(task, files=files, engine=engine, whose=Whose.KIT)
    assert len(ran) > len(TASKS[task].runs)  # some were run on the way
    assert set(ran) == {engine}


def test_no_task_starts_a_trial_by_itself() -> None:
    """It would have to be told the engine; what runs a program again takes it from before."""
    starters = [
        path.name
        for path in TASK_FILES.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if getattr(node, "id", getattr(node, "attr", "")) == "run_trial"
    ]
    assert not starters
