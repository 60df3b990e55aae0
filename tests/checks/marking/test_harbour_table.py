"""The class's table of harbour runs tells what really happened, the best first."""

from __future__ import annotations

import functools
from pathlib import Path

import nbformat
import pytest

from checks.course.config import make_course
from checks.marking.client import Worker
from checks.marking.harbour import Entry, harbour_table, submitted_runs
from robotsim import KitError

RIGHT = Path(__file__).parents[2] / "programs" / "harbour" / "run" / "right_plain.py"


def test_the_best_stands_first_and_who_did_not_finish_has_no_time() -> None:
    text = harbour_table(
        [
            Entry("ada", 12, 9.5, 1, 2, 16.24, 4.05),
            Entry("ben | the | fast", 13, 20.0, 2, 2, 11.0, 2.0),
            Entry("cem", 14, 0.0, 0, 2, None, None),
            Entry("dora", 15, 20.0, 2, 2, 10.5, 3.0),
        ]
    )
    rows = text.splitlines()[2:]
    assert [row.split(" | ")[1].split(" ")[0] for row in rows] == ["dora", "ben", "ada", "cem"]
    assert rows[0] == "| 1 | dora | 15 | 20 | 2 of 2 | 10.5 s | 3.0 mm |"
    assert rows[1].startswith("| 2 | ben \\| the \\| fast | 13 |")
    assert rows[3].endswith("| 0 of 2 | - | - |")


@pytest.fixture
def course(tmp_path: Path) -> Path:
    return make_course(tmp_path / "course")


def hand_in(course: Path, learner: str, data: str | bytes) -> None:
    folder = course / "submitted" / learner / "harbour"
    folder.mkdir(parents=True)
    plain = data.encode() if isinstance(data, str) else data
    (folder / "harbour.ipynb").write_bytes(plain)


def notebook(*programs: str) -> str:
    cells = [nbformat.v4.new_code_cell(f"%%program run.py\n{text}") for text in programs]
    free = nbformat.v4.new_code_cell("1/0")
    return nbformat.writes(nbformat.v4.new_notebook(cells=[free, *cells]))


SPY = """
real = print.__globals__["builtins"]
try:
    real.__import__("_posixsubprocess").fork_exec
    fd = real.__import__("os").open("SECRET", 0)
    print("READ", real.__import__("os").read(fd, 99))
except BaseException as fault:
    print("kept out")
"""


def test_a_class_makes_its_runs_behind_the_same_door_as_in_marking(course: Path) -> None:
    rows = "id,serial\nada,12\nben,13\ncem\ndora\neva\nfinn\ngus\nzoe\n"
    course.joinpath("roster.csv").write_text(rows, encoding="utf-8")
    hand_in(course, "lou", notebook())
    hand_in(course, "ada", notebook("pass", RIGHT.read_text(encoding="utf-8")))
    hand_in(course, "ben", notebook())
    for name, data in {"cem": "no notebook", "dora": b"\xff\xfe", "eva": '{"cells": 3}',
                       "finn": "[" * 100_000}.items():  # fmt: skip
        hand_in(course, name, data)
    (course / "submitted" / "gus" / "harbour" / "harbour.ipynb").mkdir(parents=True)
    hand_in(course, "zoe", notebook(SPY.replace("SECRET", str(course / "roster.csv"))))
    runs = submitted_runs(course)
    ada, ben, zoe = runs.entries
    assert (ada.name, ada.serial, ada.points, ada.docked, ada.runs) == ("ada", 12, 20.0, 2, 2)
    assert ada.seconds is not None and 9.0 < ada.seconds < 14.0
    assert ada.aside_mm is not None and 0.5 < ada.aside_mm < 10.0
    assert (ben.serial, ben.points, ben.runs, zoe.points) == (13, 0.0, 0, 0.0)
    assert [who for who, _ in runs.for_you] == ["cem", "dora", "eva", "finn", "gus", "lou"]
    assert "not in the roster" in runs.for_you[-1][1], "whose tug nobody can say"
    assert all("Traceback" not in words for _, words in runs.for_you)


def test_where_programs_cannot_be_kept_in_none_is_run(
    course: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand_in(course, "ada", notebook("print(1)"))
    worker = functools.partial(Worker, without=["calls"])
    monkeypatch.setattr("checks.marking.harbour.Worker", worker)
    with pytest.raises(KitError, match="cannot be kept in on this computer"):
        submitted_runs(course)


def test_a_course_without_any_is_told(course: Path) -> None:
    with pytest.raises(KitError, match="Nobody has handed in"):
        submitted_runs(course)
