"""nbval compares what a built lesson shows; these tests hold that it would see a difference."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checks.course.lessons import ROOT

SETTINGS = ROOT / "tests" / "nbval_sanitize.cfg"


def run_nbval(file: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--nbval"]
    command += ["--nbval-sanitize-with", str(SETTINGS), "--rootdir", str(file.parent), str(file)]
    search = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    return subprocess.run(
        command, env={**os.environ, "PYTHONPATH": search}, cwd=file.parent,
        capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip


@pytest.mark.parametrize("name", ["pier", "mole"])
def test_a_lesson_as_built_passes(name: str, built: Path, fixture_tasks: object) -> None:
    done = run_nbval(built / name / f"{name}.ipynb")
    assert done.returncode == 0, done.stdout


def _number(data: dict[str, Any]) -> None:
    data["text/plain"] = ["2"]


def _card(data: dict[str, Any]) -> None:
    data["text/html"] = [
        text.replace("3 of 3 points", "2 of 3 points") for text in data["text/html"]
    ]


def _no_card(data: dict[str, Any]) -> None:
    del data["text/html"]


@pytest.mark.parametrize("change", [_number, _card, _no_card])
def test_a_stored_output_that_was_changed_turns_it_red(
    change: Callable[[dict[str, Any]], None], lessons: Path, fixture_tasks: object
) -> None:
    file = lessons / "pier" / "pier.ipynb"
    notebook = json.loads(file.read_text(encoding="utf-8"))
    (check,) = (cell for cell in notebook["cells"] if cell["id"] == "pier-hello")
    change(check["outputs"][0]["data"])
    file.write_text(json.dumps(notebook), encoding="utf-8")
    done = run_nbval(file)
    assert done.returncode == 1 and "1 failed" in done.stdout, done.stdout
