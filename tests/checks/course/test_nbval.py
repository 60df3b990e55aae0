"""nbval compares what a built lesson shows; these tests hold that it would see a difference."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checks.course.lessons import ROOT

pytestmark = pytest.mark.slow

SETTINGS = ROOT / "tests" / "nbval_sanitize.cfg"


def _as_built(_: dict[str, Any]) -> None:
    pass


def _number(data: dict[str, Any]) -> None:
    data["text/plain"] = ["2"]


def _card(data: dict[str, Any]) -> None:
    data["text/html"] = [
        text.replace("3 of 3 points", "2 of 3 points") for text in data["text/html"]
    ]


def _no_card(data: dict[str, Any]) -> None:
    del data["text/html"]


CHANGES = [_as_built, _number, _card, _no_card]


@pytest.fixture(scope="module")
def failed(
    built: Path, fixture_tasks: object, tmp_path_factory: pytest.TempPathFactory
) -> list[str]:
    """The cells that nbval found changed: the fixture lessons in a folder for each change."""
    home = tmp_path_factory.mktemp("changed")
    for change in CHANGES:
        file = Path(shutil.copytree(built, home / change.__name__)) / "pier" / "pier.ipynb"
        notebook = json.loads(file.read_text(encoding="utf-8"))
        (check,) = (cell for cell in notebook["cells"] if cell["id"] == "pier-hello")
        change(check["outputs"][0]["data"])
        file.write_text(json.dumps(notebook), encoding="utf-8")
    lessons = sorted([*home.glob("*/pier/pier.ipynb"), home / "_as_built" / "mole" / "mole.ipynb"])
    command = [sys.executable, "-m", "pytest", "-q", "-rf", "-p", "no:cacheprovider", "--nbval"]
    command += ["--nbval-sanitize-with", str(SETTINGS), "--rootdir", str(home), *map(str, lessons)]
    search = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        command, env={**os.environ, "PYTHONPATH": search}, cwd=home,
        capture_output=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert " passed" in done.stdout, done.stdout
    return re.findall(r"^FAILED (\S+)::Cell \d+", done.stdout, re.M)


@pytest.mark.parametrize("lesson", ["pier", "mole"])
def test_a_lesson_as_built_passes(failed: list[str], lesson: str) -> None:
    assert f"_as_built/{lesson}/{lesson}.ipynb" not in failed


@pytest.mark.parametrize("change", CHANGES[1:])
def test_a_stored_output_that_was_changed_turns_it_red(
    failed: list[str], change: Callable[[dict[str, Any]], None]
) -> None:
    assert failed.count(f"{change.__name__}/pier/pier.ipynb") == 1
