"""What a learner reads when a program fails: each text as it must read, word for word.

Beside every program in `tests/robotsim/errors/` lies its text. `python -m
tests.robotsim.test_errors_told` writes them anew; then read them, aloud.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from robotsim import run_trial
from robotsim.board.engines import ENGINES

FOLDER = Path(__file__).parent / "errors"
PROGRAMS = sorted(FOLDER.glob("*.py"))
ONE_SECOND = ("loop_without_a_sleep",)


def told(path: Path, engine: str) -> str:
    """Run one of the programs and give what its writer is told."""
    recording = run_trial(
        path.read_text(encoding="utf-8"), program="main.py", seconds=2.0, engine=engine,
        silence_s=1.0 if path.stem in ONE_SECOND else 5.0,
    )  # fmt: skip
    return f"{recording.problem}\n"


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


def golden(path: Path) -> str:
    return path.with_suffix(".txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_a_program_that_fails_tells_its_writer_what_where_and_what_to_try(
    path: Path, engine: str, need_engine: None
) -> None:
    assert told(path, engine) == golden(path)


def test_there_are_at_least_forty_and_each_names_line_source_and_cure() -> None:
    assert len(PROGRAMS) >= 40
    for path in PROGRAMS:
        what, where, cure = golden(path).splitlines()
        assert what and where.startswith("Where: main.py, line "), path.stem
        line, _, source = where.removeprefix("Where: main.py, line ").partition(": ")
        assert path.read_text(encoding="utf-8").splitlines()[int(line) - 1].strip() == source
        assert cure.startswith("Try: ") and cure.endswith((".", "?", ".)")), path.stem
        assert len(cure) < 300, path.stem
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in PROGRAMS}


if __name__ == "__main__":
    for program in PROGRAMS:
        program.with_suffix(".txt").write_text(told(program, "cpython"), encoding="utf-8")
