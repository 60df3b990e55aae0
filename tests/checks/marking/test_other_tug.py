"""Whoever has tried with another tug than the roster's is told, and so is the teacher."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from checks.course.classroom import open_class
from checks.marking.class_results import read_results
from checks.marking.feedback import feedback
from checks.marking.marker import mark
from checks.marking.repair import repair
from checks.marking.report_page import page
from robotsim import run_trial
from tests.checks.marking.cases import LESSON, good_work
from tests.checks.marking.conftest import hand_in
from tests.checks.marking.quick import QuickPool


def with_runs(work: bytes, *runs: tuple[str, str]) -> bytes:
    """Put cells below a notebook: what each says, and what its result shows."""
    nb = json.loads(work)
    for source, shown in runs:
        result = {"output_type": "execute_result", "data": {"text/plain": [shown]},
                  "metadata": {}, "execution_count": 1}  # fmt: skip
        nb["cells"].append({"cell_type": "code", "metadata": {}, "source": source,
                            "outputs": [result], "execution_count": 1})  # fmt: skip
    return json.dumps(nb).encode()


def shown(serial: int) -> str:
    """Give how a notebook names a run."""
    return repr(run_trial({"a.py": "x = 1\n"}, program="a.py", seconds=0.1, serial=serial))


def one_run(serial: int) -> tuple[str, str]:
    return 'run("a.py")', shown(serial)


@pytest.fixture(scope="module")
def copy(built_class: Path) -> bytes:
    return (built_class / "release" / LESSON / f"{LESSON}.ipynb").read_bytes()


@pytest.fixture(scope="module")
def built_class(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class of three, whose files show runs of two tugs."""
    home = tmp_path_factory.mktemp("school")
    (home / "class.csv").write_text("id,serial\nanna,13\nbo,12\ncy,\n", encoding="utf-8")
    course = home / "course"
    list(open_class(course, home / "class.csv", ids=[LESSON]))
    work = good_work((course / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for name, serial in (("anna", 7), ("bo", 12), ("cy", 7)):
        hand_in(course, name, with_runs(work, one_run(serial)))
    mark(course, pool=QuickPool())
    return course


def test_teacher_and_learner_are_told_in_one_sentence(built_class: Path) -> None:
    told = read_results(built_class)
    (look,) = (look for look in told.looks if look.kind == "other tug")
    assert look.learner == "anna"
    assert look.words == "the runs that the file shows are of tug 7; it was marked with tug 13"
    assert "Tried with another tug" in page(told)
    assert "tug 13" not in page(read_results(built_class, anonymous=True)), "that is a name"
    list(feedback(built_class))
    pages = {name: (built_class / "feedback" / name / LESSON / f"{LESSON}.html").read_text("utf-8")
             for name in ("anna", "bo", "cy")}  # fmt: skip
    assert "are of tug 7, and it was marked with tug 13" in pages["anna"]
    assert not any("are of tug" in pages[name] for name in ("bo", "cy"))


@pytest.mark.parametrize(
    ("runs", "tug"),
    [([one_run(7), one_run(7)], 7), ([one_run(7), one_run(12)], None), ([], None),
     ([('run("a.py", serial=94)', shown(94)), one_run(7)], 7),
     ([('print("a run")', "<a.py on basin, tug " + "9" * 400)], None),
     ([('x', "<a.py on basin, the tug as drawn, 3 s: ended>")], None)],
)  # fmt: skip
def test_a_file_tells_its_tug_only_where_all_runs_are_of_one(
    runs: list[tuple[str, str]], tug: int | None, copy: bytes
) -> None:
    assert repair(with_runs(copy, *runs), copy, LESSON).tug == tug


@pytest.mark.parametrize("outputs", [None, 3, [3], [{"output_type": "execute_result", "data": 3}]])
def test_outputs_of_any_kind_tell_nothing(outputs: Any, copy: bytes) -> None:
    nb = json.loads(with_runs(copy, one_run(7)))
    nb["cells"][-1]["outputs"] = outputs
    assert repair(json.dumps(nb).encode(), copy, LESSON).tug is None
