from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from checks.commands import main
from checks.course.config import CONFIG
from checks.course.lessons import ROOT


def test_an_error_is_told_without_a_traceback(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", "lamp"]) == 1
    said = capsys.readouterr()
    assert "There is no lesson called 'lamp'" in said.err and "did you mean 'lamps'?" in said.err
    assert "Traceback" not in said.err


def test_release_puts_the_lessons_into_the_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["release", str(tmp_path)]) == 0
    assert "1-lamps.ipynb: new (" in capsys.readouterr().out
    assert {"0-start.ipynb", "1-lamps.ipynb", "2-drive.ipynb"} <= {
        p.name for p in tmp_path.iterdir()
    }


def test_it_runs_as_a_module_from_another_folder(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-P", "-m", "checks", "--help"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    for command in ("build", "release", "demo", "doctor"):
        assert command in done.stdout


def test_seats_need_a_class(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["seats", str(tmp_path)]) == 1
    assert "There is no class in this folder." in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_seats_are_written_for_a_class(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "roster.csv").write_text("id,name,serial\nada,Ada,3\nbo,Bo,4\n", encoding="utf-8")
    assert main(["seats", str(tmp_path)]) == 0
    assert "2 seats" in capsys.readouterr().out
    assert "harbour/tug-3/" in (tmp_path / "broker" / "access.txt").read_text(encoding="utf-8")


def test_a_table_of_runs_that_nobody_has_made_says_what_is_missing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["harbour", str(tmp_path)]) == 1
    assert "This is no course folder." in capsys.readouterr().err
    (tmp_path / CONFIG).write_text("", encoding="utf-8")
    assert main(["harbour", str(tmp_path)]) == 1
    assert "Nobody has handed in the lesson harbour" in capsys.readouterr().err


def test_names_in_chinese_stop_no_command_on_a_western_console(tmp_path: Path) -> None:
    (tmp_path / "course").mkdir()
    (tmp_path / "course" / "roster.csv").write_text("id,name\nanna,李 小龍\n", encoding="utf-8")
    (tmp_path / "in" / "李 小龍_7").mkdir(parents=True)
    (tmp_path / "in" / "李 小龍_7" / "lamps.ipynb").write_bytes(b"x")
    (tmp_path / "in" / "王.ipynb").write_bytes(b"x")
    done = subprocess.run(
        [sys.executable, "-P", "-m", "checks", "collect", "course", "in"], cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "latin-1"},
        capture_output=True, check=True,
    )  # fmt: skip
    said = done.stdout.decode("latin-1").splitlines()
    assert said[0].startswith("left: \\u738b.ipynb: no learner of the roster")
    assert said[1].startswith("taken: anna, lamps, from \\u674e \\u5c0f\\u9f8d_7/lamps.ipynb")


def test_it_starts_from_a_bare_python_in_any_folder(tmp_path: Path) -> None:
    """Without the kit's packages, and not knowing where the kit is, as a teacher's first try."""
    done = subprocess.run(
        [sys.executable, "-I", "-S", str(ROOT / "checks"), "report", "autumn"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, "Traceback" in done.stderr) == (1, False)
    assert "There is no such folder." in done.stderr and str(tmp_path / "autumn") in done.stderr
