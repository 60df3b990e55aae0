"""CPython and the real MicroPython interpreter leave the same recording of the same program."""

from __future__ import annotations

from pathlib import Path

import pytest

from robotsim import run_trial
from robotsim.board.board import Board
from robotsim.board.faults import TimeUp
from robotsim.board.link import Link
from robotsim.units import SECOND
from tests.robotsim.board.fakes import FakeWorld

PROGRAMS = Path(__file__).parents[1] / "programs"
EXAMPLES = sorted((PROGRAMS / "examples").glob("*.py"))
RIGHT = sorted(PROGRAMS.glob("*/*/right_*.py"))
"""The programs that lessons must accept, in many styles."""


@pytest.fixture
def engine() -> str:
    return "micropython"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_leaves_the_same_recording_under_both_engines(
    path: Path, need_engine: None
) -> None:
    text = path.read_text(encoding="utf-8")
    one, other = (
        run_trial(text, program=path.name, serial=7, seed=3, seconds=4.0, engine=engine)
        for engine in ("cpython", "micropython")
    )
    assert one.printed == other.printed
    assert one.problem == other.problem
    assert one.events == other.events
    assert one == other
    assert (one.ended, path.stem) in {("finished", path.stem), ("error", "faults")}
    assert len(one.events) >= 5


@pytest.mark.parametrize("path", RIGHT, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_what_a_learner_writes_comes_to_the_same_under_both_engines(
    path: Path, need_engine: None
) -> None:
    """Texts may differ in the last digit of a number, and with them the time they take."""
    text = path.read_text(encoding="utf-8")
    one, other = (
        run_trial(text, program="main.py", serial=7, seconds=3.0, engine=engine)
        for engine in ("cpython", "micropython")
    )
    assert one.problem == other.problem, "a right program must run on the real board too"
    assert one.ended == other.ended
    assert other.end == pytest.approx(one.end, abs=0.02)
    assert other.lamps_at(3.0) == one.lamps_at(3.0)
    if [line for _, line in one.printed] == [line for _, line in other.printed]:
        assert one == other


class _Counting:
    """Stands in the door and notes what goes through."""

    def __init__(self, link: Link) -> None:
        self.link, self.said = link, []

    def next(self) -> bytes:
        self.said.append(self.link.next())
        return self.said[-1]

    def reply(self, line: bytes) -> None:
        self.link.reply(line)


def messages(text: str, engine: str) -> list[bytes]:
    with Link({"main.py": text}, "main.py", engine) as link:
        door = _Counting(link)
        world = FakeWorld()
        world.answer = b"\0"
        try:
            Board(world, door, 2 * SECOND).serve()
        except TimeUp:
            pass
    return door.said


@pytest.mark.parametrize("name", ["timers", "readback", "blink"])
def test_both_engines_say_the_same_word_for_word(name: str, need_engine: None) -> None:
    text = (PROGRAMS / "examples" / f"{name}.py").read_text(encoding="utf-8")
    assert messages(text, "cpython") == messages(text, "micropython")


def test_an_example_does_what_it_is_an_example_of() -> None:
    def run(name: str):
        text = (PROGRAMS / "examples" / f"{name}.py").read_text(encoding="utf-8")
        return run_trial(text, seconds=4.0)

    assert max(run("drive").tracks["x"]) > 0.35
    assert len({frame.hex for frame in run("fade").of("frame")}) > 10
    assert sum(call.number == 1 for call in run("timers").of("call")) == 3
    lines = [line for _, line in run("prints").printed]
    assert "Fähre nach Süden — 船は港に入る ⛵ 🚢" in lines
    assert "x" * 700 in lines and lines[-2:] == ["ab", "cd"]
