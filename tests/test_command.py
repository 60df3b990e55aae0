"""`python3 tests`: every stage is run, whatever became of the one before."""

from __future__ import annotations

import runpy
import types
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    found = runpy.run_path(str(ROOT / "tests" / "__main__.py"))
    kit = types.SimpleNamespace(
        python="python", variables=dict, ensure=lambda extras, strict: None
    )
    fake = types.SimpleNamespace(Environment=lambda root: kit, SetupError=ZeroDivisionError)
    monkeypatch.setitem(found["main"].__globals__, "load", lambda name: fake)
    return found


def play(
    command: dict[str, Any], monkeypatch: pytest.MonkeyPatch, code: int, *arguments: str
) -> tuple[int, list[list[str]]]:
    """Run the command with stages that all end with one code; give its code and the stages."""
    ran: list[list[str]] = []

    def run(words: list[str], stdout: int | None = None, **_: Any) -> Any:
        ran.append(words[2:])
        said = None if stdout is None else f"{words[2]} complains\n"
        return types.SimpleNamespace(returncode=code, stdout=said)

    fake = types.SimpleNamespace(run=run, PIPE=-1, STDOUT=-2)
    monkeypatch.setitem(command["main"].__globals__, "subprocess", fake)
    return command["main"](list(arguments)), ran


def test_all_stages_run_though_each_fails_and_the_failure_is_told(
    command: dict[str, Any], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code, ran = play(command, monkeypatch, 5)
    assert code == 1
    assert sorted(words[0] for words in ran) == ["mypy", "pytest", "pytest", "ruff"]
    said = capsys.readouterr().out
    assert said.index("== notebooks: FAILED") < said.index("mypy complains\n== mypy: FAILED")
    assert said.splitlines()[-1] == "0 stages ok, 4 failed"
    assert said.count("FAILED (exit code 5)") == 4
    assert play(command, monkeypatch, 0)[0] == 0
    assert capsys.readouterr().out.splitlines()[-1] == "4 stages ok, 0 failed"


def test_every_notebook_of_every_lesson_is_compared(command: dict[str, Any]) -> None:
    words = command["stages"]([])["notebooks"]
    assert "--nbval" in words
    assert "--nbval-lax" not in words
    there = {str(path.relative_to(ROOT)) for path in ROOT.glob("lessons/*/*.ipynb")}
    assert there, "a run without notebooks would protect nothing"
    assert {word for word in words if word.endswith(".ipynb")} == there


def test_words_given_go_to_pytest_alone(
    command: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, ran = play(command, monkeypatch, 0, "tests/published", "-k", "motor")
    assert ran == [["pytest", "tests/published", "-k", "motor"]]
