"""What the two engines make of the same short programs, against what the real interpreter said.

*Source*: `snippets/outputs.json`, the real interpreter's own answers (`python -m
tests.robotsim.snippets` asks it again).  The programs are by hand and drawn by hypothesis.
"""

from __future__ import annotations

import functools
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from robotsim.board import engines
from robotsim.onto.advise import _read
from tests.robotsim.snippets import Snippet, kept, outputs

SHARE = 0.99
"""Of so many of them, at least, CPython says the same."""
SAMPLE = 7
"""Of so many one is tried under each newer Python, and by the real interpreter."""


def newer_pythons() -> list[str]:
    """Give the other Pythons of this computer that the project allows."""
    found = {}
    versions = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv"), "versions")
    for minor in range(11, 20):
        places = [*versions.glob(f"3.{minor}.*/bin/python")]
        place = next(map(str, places), None) or shutil.which(f"python3.{minor}")
        if place and minor != sys.version_info[1]:
            answer = subprocess.run([place, "-c", "print(5)"], capture_output=True, check=False)
            if answer.stdout.strip() == b"5":
                found[minor] = place
    return list(found.values())


@pytest.fixture
def engine() -> str:
    return "micropython"


def apart(found: list[str], wanted: list[str], snippets: list[Snippet]) -> list[str]:
    return [
        f"{each.program}\n  told   {answer}\n  wanted {right}"
        for each, answer, right in zip(snippets, found, wanted, strict=True)
        if answer != right
    ]


@functools.cache
def all_of_them() -> list[Snippet]:
    return kept()


def test_the_engines_agree_in_nearly_all_snippets_and_each_other_one_has_its_reason(
    capsys: pytest.CaptureFixture[str],
) -> None:
    snippets = all_of_them()
    differ = [each for each in snippets if each.here != each.board]
    share = 1 - len(differ) / len(snippets)
    with capsys.disabled():
        print(f"\n{len(snippets)} snippets, {share:.1%} agree under both engines")
    assert len(snippets) >= 400
    assert share >= SHARE
    assert not [each.program for each in differ if not each.why]


def test_this_python_says_what_is_kept() -> None:
    snippets = all_of_them()
    found = outputs([each.program for each in snippets], "cpython")
    wrong = apart(found, [each.here for each in snippets], snippets)
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("python", newer_pythons())
def test_every_python_that_the_project_allows_says_the_same(
    python: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = engines.ENGINES["cpython"]()
    monkeypatch.setitem(engines.ENGINES, "cpython", lambda: [python, *own[1:]])
    snippets = all_of_them()[::SAMPLE] + [s for s in all_of_them() if "max(" in s.program]
    found = outputs([each.program for each in snippets], "cpython")
    wrong = apart(found, [each.here for each in snippets], snippets)
    assert not wrong, "\n".join(wrong)


def test_the_real_interpreter_still_says_what_is_kept(need_engine: None) -> None:
    snippets = all_of_them()[::SAMPLE]
    found = outputs([each.program for each in snippets], "micropython")
    wrong = apart(found, [each.board for each in snippets], snippets)
    assert not wrong, "\n".join(wrong)


def fails(output: str) -> str:
    """Give the kind of exception that ended it, "" if none did."""
    last = output.rpartition("\n")[2]
    return last[2:].partition(":")[0] if last.startswith("! ") else ""


SILENT = [
    each
    for each in kept()
    if each.here != each.board and not fails(each.here) and "in other words" not in each.why
]


@pytest.mark.parametrize("snippet", SILENT, ids=lambda each: each.program.split("\n")[-1][:40])
def test_what_only_the_board_refuses_is_told_beforehand(snippet: Snippet) -> None:
    assert _read("main.py", {"main.py": snippet.program})
