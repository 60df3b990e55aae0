"""Exceptions in the board's words: the real interpreter is asked with the same programs."""

from __future__ import annotations

from pathlib import Path

import pytest

from robotsim import run_trial

SAMPLES = (Path(__file__).parent / "words.txt").read_text(encoding="utf-8")
CASES = [line.replace("\\n", "\n") for line in SAMPLES.splitlines() if line and line[0] != "#"]
FRAME = """
import io, sys
def say(number, text):
    try:
        exec(text, {{"__name__": "sample"}})
    except Exception as fault:
        told = io.StringIO()
        sys.print_exception(fault, told)
        print(number, told.getvalue().strip().split("\\n")[-1])
    else:
        print(number, "nothing happened")
for number, text in enumerate({texts!r}):
    say(number, text)
"""


@pytest.fixture
def engine() -> str:
    return "micropython"


def told(engine: str) -> list[str]:
    """Give what each sample comes to."""
    recording = run_trial(FRAME.format(texts=CASES), seconds=60.0, engine=engine)
    assert recording.ended == "finished", recording.problem
    return [line for _, line in recording.printed]


def test_an_exception_has_the_kind_and_the_words_that_the_board_gives_it(need_engine: None) -> None:
    ours, theirs = told("cpython"), told("micropython")
    assert len(ours) == len(CASES)
    wrong = [
        f"{text!r}\n  here  {mine}\n  board {real}"
        for text, mine, real in zip(CASES, ours, theirs, strict=True)
        if mine != real
    ]
    assert not wrong, "\n".join(wrong)
    assert "nothing happened" not in " ".join(ours)
