"""CPython and the real MicroPython interpreter leave the same recording of the same program.

An ordinary run tries a fixed sample and every lesson's programs, each for a few seconds of its
time; `python3 tests --long tests/robotsim/test_engines.py` tries all, to their end, and writes
the table tests/programs/PARITY.md.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from robotsim import Whose, run_trial
from robotsim.board.board import Board
from robotsim.board.faults import Ended, TimeUp
from robotsim.board.link import Link
from robotsim.units import SECOND
from tests.robotsim.board.fakes import FakeWorld
from tests.robotsim.parity import PAGE, Trial, from_lessons, from_programs, table

PROGRAMS = Path(__file__).parents[1] / "programs"
FEW_SECONDS = 2.0
EVERY = 25
"""Of so many programs an ordinary run tries one."""
GROUPS = sorted({trial.group for trial in (*from_programs(), *from_lessons())})
RESULTS: dict[Trial, str] = {}


@pytest.fixture
def engine() -> str:
    return "micropython"


def compare(trials: list[Trial], most_s: float = 600.0) -> dict[Trial, str]:
    return {trial: trial.difference(most_s) for trial in trials}


def told(results: dict[Trial, str]) -> str:
    return "\n".join(f"{t.group}, {t.name}: {apart}" for t, apart in results.items() if apart)


@pytest.mark.parametrize("group", [g for g in GROUPS if g.startswith("lesson ")])
def test_a_lessons_solutions_and_worked_examples_leave_equal_recordings(
    group: str, need_engine: None
) -> None:
    once = {trial.name: trial for trial in from_lessons() if trial.group == group}
    results = compare([trial for name, trial in once.items() if "(run" not in name], FEW_SECONDS)
    assert results
    assert not told(results), told(results)


def test_a_sample_of_all_programs_leaves_equal_recordings(
    need_engine: None, tmp_path: Path
) -> None:
    examples = [trial for trial in from_programs() if trial.group == "examples"]
    results = compare([*examples, *from_programs()[::EVERY]], FEW_SECONDS)
    (tmp_path / "parity.md").write_text(table(results), encoding="utf-8")
    assert not told(results), told(results)


@pytest.mark.long
@pytest.mark.parametrize("group", GROUPS)
def test_every_program_of_a_group_leaves_equal_recordings(group: str, need_engine: None) -> None:
    results = compare([t for t in (*from_programs(), *from_lessons()) if t.group == group])
    RESULTS.update(results)
    assert not told(results), told(results)


@pytest.mark.long
def test_the_table_of_all_programs_is_written() -> None:
    everything = [*from_programs(), *from_lessons()]
    if len(RESULTS) == len(everything):
        order = {trial: RESULTS[trial] for trial in everything}
        PAGE.write_text(table(order), encoding="utf-8")
    rows = [row for row in PAGE.read_text(encoding="utf-8").splitlines() if row.startswith("| ")]
    groups = [row for row in rows[2:] if not row.startswith("| **")]
    assert groups and all(row.endswith("| none |") for row in groups)


def test_a_difference_would_be_noticed_and_told() -> None:
    """What one engine alone has (here functions with attributes) must not pass for equal."""
    files = {"main.py": "def f(): pass\nf.x = 1"}
    trial = Trial("none", "apart", files, "main.py", {"seconds": 0.1})
    results = {trial: trial.difference()}
    assert told(results)
    assert "| none | 1 | 0 | apart |" in table(results)


def test_every_task_and_every_lesson_is_among_them() -> None:
    from checks import TASKS

    assert {*TASKS, "examples"} <= {trial.group for trial in from_programs()} | {
        task for task in TASKS if not (PROGRAMS / task.replace(".", "/")).is_dir()
    }
    lessons = {path.stem for path in PROGRAMS.parents[1].glob("lessons/*/*.ipynb")}
    assert {f"lesson {name}" for name in lessons} <= set(GROUPS)
    assert len(from_programs()) > 400 and len(from_lessons()) > 40


def messages(text: str, engine: str) -> list[bytes]:
    """Give what a program says to its board."""
    world, said = FakeWorld(), list[bytes]()
    world.answer = b"\0"
    board = Board(world, 2 * SECOND)

    def hear(line: bytes) -> bytes:
        said.append(line)
        return board.hear(line)

    with (
        Link({"main.py": text}, "main.py", engine, whose=Whose.KIT) as link,
        pytest.raises((Ended, TimeUp)),
    ):
        link.talk(hear)
    return said


@pytest.mark.parametrize("name", ["timers", "readback", "blink", "rounds", "sorts"])
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
