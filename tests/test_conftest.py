"""A test that needs a missing program is skipped here and fails in CI."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import TOGETHER, unit_of

CONFTEST = Path(__file__).with_name("conftest.py")
PROGRAM = """
import pytest

def test_by_fixture(mosquitto):
    assert mosquitto.endswith("mosquitto")

@pytest.mark.mosquitto
def test_by_marker():
    pass

def test_without():
    pass
"""


def outcome(folder: Path, ci: str, *arguments: str) -> str:
    """Give the last line of a run in which no program can be found."""
    shutil.copy(CONFTEST, folder / "conftest.py")
    text = (folder / "conftest.py").read_text().replace('"/usr/sbin", "/usr/local/sbin"', '""')
    (folder / "conftest.py").write_text(text)
    (folder / "test_it.py").write_text(PROGRAM)
    (folder / "pytest.ini").write_text("[pytest]\nmarkers =\n    mosquitto\n    chromium\n")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *arguments]
    variables = {**os.environ, "PATH": str(folder), "QUAYSIDE_CI": ci}
    variables["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    done = subprocess.run(
        command, cwd=folder, env=variables, capture_output=True, text=True, check=False
    )
    return done.stdout.strip().splitlines()[-1]


@pytest.mark.parametrize(
    ("ci", "told"), [("", "1 passed, 2 skipped"), ("1", "1 passed, 2 errors")]
)
def test_a_missing_program_is_a_skip_here_and_a_failure_in_ci(
    tmp_path: Path, ci: str, told: str
) -> None:
    assert told in outcome(tmp_path, ci)


def test_users_of_the_fixture_can_be_left_out_by_its_marker(tmp_path: Path) -> None:
    assert "1 passed, 2 deselected" in outcome(tmp_path, "1", "-m", "not mosquitto")


def test_what_is_slow_is_begun_first_with_its_whole_module(tmp_path: Path) -> None:
    shutil.copy(CONFTEST, tmp_path / "conftest.py")
    (tmp_path / "test_a.py").write_text("def test_one():\n    pass\n")
    (tmp_path / "test_b.py").write_text(
        "import pytest\n\n\ndef test_two():\n    pass\n\n\n"
        "@pytest.mark.slow\ndef test_three():\n    pass\n"
    )
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "--collect-only"]
    variables = {**os.environ, "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    done = subprocess.run(command, cwd=tmp_path, env=variables, capture_output=True, text=True)
    assert [line.partition("::")[2] for line in done.stdout.splitlines() if "::" in line] == [
        "test_two", "test_three", "test_one"
    ]  # fmt: skip


def test_the_fixtures_give_programs_that_are_there(request: pytest.FixtureRequest) -> None:
    for name in ("chromium", "mosquitto"):
        assert Path(request.getfixturevalue(name)).exists()


def test_modules_that_use_one_class_share_a_worker() -> None:
    folder = Path(__file__).parent / "checks" / "marking"
    for name, other in TOGETHER.items():
        assert (folder / name).exists() and (folder / other).exists()
        assert unit_of(f"tests/checks/marking/{name}::test_it") == f"tests/checks/marking/{other}"


def test_the_tests_of_one_task_share_a_worker_and_those_of_a_module_without_tasks_too() -> None:
    first, other = (f"tests/checks/test_programs.py::test_it[{t}-some]" for t in ("a.b", "a.c"))
    assert unit_of(first) == unit_of(first.replace("test_it", "test_that")) != unit_of(other)
    plain = "tests/published/test_motor.py::test_it"
    assert unit_of(plain) == unit_of(f"{plain}[1.5-left]") == "tests/published/test_motor.py"
