"""Whatever a learner's program does, there is a recording, and the host lives on.

Every file under tests/programs/bad is such a program.  Its first comments say what must come of it:

    # kind: the problem's kind, or none
    # shows: a piece of the problem's message
    # ended: how the trial ended, where that does not follow from the kind
    # prints: a line that the console must show
    # seconds: the trial's time, 1 s if not told
    # only: the one engine that it is for; system: the one system

and a line that must be named ends with `# here`.  (Where a loop is interrupted may be the line
of `while` or the one within.)
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import pytest

from robotsim import KitError, Recording, Whose, run_trial
from robotsim.board.computing import counting
from robotsim.board.engines import ENGINES, command

FOLDER = Path(__file__).parents[1] / "programs" / "bad"
SILENT = "without touching the board"
SILENCE_S = 1.0
"""Here a silent program is stopped after one second instead of five."""
BUSY_S = 30.0
"""The others may be slow without being silent: to start on a busy machine takes its time, and to
fill half a gigabyte, too."""
PATIENCE_S = 30.0
"""Real time in which its process must be gone, on a machine however busy."""


@dataclass(frozen=True)
class Expected:
    name: str
    text: str
    kind: str
    shows: str
    ended: str
    prints: str
    only: str
    system: str
    seconds: float
    lines: tuple[int, ...]

    @classmethod
    def of(cls, path: Path) -> Expected:
        text = path.read_text(encoding="utf-8")
        told = {}
        for row in text.splitlines():
            if not row.startswith("# ") or ": " not in row:
                break
            name, _, value = row[2:].partition(": ")
            told[name] = value
        marked = [k for k, row in enumerate(text.splitlines(), 1) if row.endswith("# here")]
        ended = {"none": "finished", "stopped": "stopped"}.get(told["kind"], "error")
        return cls(
            path.stem, text, told.pop("kind"), told.pop("shows", ""), told.pop("ended", ended),
            told.pop("prints", ""), told.pop("only", ""), told.pop("system", os.name),
            float(told.pop("seconds", "1")), tuple(marked),
        )  # fmt: skip


PAIRS = [
    (expected, engine)
    for expected in map(Expected.of, sorted(FOLDER.glob("*.py")))
    for engine in ENGINES
    if expected.only in ("", engine) and expected.system == os.name
]


def run(expected: Expected, engine: str) -> Recording:
    """Give the recording; one that never ended would meet pytest's own limit for a test."""
    silence_s = SILENCE_S if expected.shows == SILENT else BUSY_S
    return run_trial(
        expected.text, engine=engine, silence_s=silence_s, seconds=expected.seconds,
        whose=Whose.OWN,
    )  # fmt: skip


@pytest.fixture(scope="module")
def mark(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A word in the environment of every process that these trials start."""
    place = tmp_path_factory.mktemp("bad")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TEMP", str(place))  # handed on, and nothing on Linux asks for it
        yield f"TEMP={place}"


@pytest.fixture(scope="module")
def silent(mark: str) -> dict[tuple[Expected, str], Future[Recording]]:
    """The trials that take their second of silence, begun side by side."""
    pool = ThreadPoolExecutor(6)
    begun = {}
    for expected, engine in PAIRS:
        if expected.shows == SILENT and installed(engine):
            begun[expected, engine] = pool.submit(run, expected, engine)
    pool.shutdown(wait=True)
    return begun


def installed(engine: str) -> bool:
    try:
        command(engine)
    except KitError:
        return False
    return True


def left_behind(mark: str) -> list[str]:
    """Give the processes that still carry the mark (on Linux; elsewhere nothing is seen)."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if int(place.name) != os.getpid() and mark.encode() in (place / "environ").read_bytes():
                found.append((place / "cmdline").read_text())
        except OSError:  # it has just gone, or is another user's
            continue
    return found


def alone(mark: str) -> None:
    until = time.monotonic() + PATIENCE_S
    while (found := left_behind(mark)) and time.monotonic() < until:
        time.sleep(0.02)
    assert not found


@pytest.mark.parametrize(
    ("expected", "engine"), PAIRS, ids=[f"{expected.name}-{engine}" for expected, engine in PAIRS]
)
def test_a_bad_program_leaves_a_recording_that_tells_what_happened(
    expected: Expected, engine: str, need_engine: None, mark: str,
    silent: dict[tuple[Expected, str], Future[Recording]],
) -> None:  # fmt: skip
    begun = silent.get((expected, engine))
    recording = begun.result() if begun else run(expected, engine)
    alone(mark)

    assert recording.ended == expected.ended, recording.problem
    if expected.prints:
        assert expected.prints in [line for _, line in recording.printed]
    if expected.kind == "none":
        assert recording.problem is None
    else:
        problem = recording.problem
        assert problem is not None
        assert problem.kind == expected.kind
        assert expected.shows in problem.message
        lines = expected.lines
        if begun and engine == "micropython" and not problem.line:
            # An interrupt that hits this interpreter in the middle of tidying its memory leaves
            # it unable to say where it was: then the fault is told without its line.
            lines = ()
        assert problem.line in (lines or (0,))
        assert problem.file == ("main.py" if lines else "")
        assert problem.source.endswith("# here" if lines else "")
        assert problem.hint or problem.line, "someone must be told where or what to try"
    assert Recording.from_bytes(recording.to_bytes()) == recording
    assert recording.tracks["t"][-1] == pytest.approx(expected.seconds)


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_the_look_for_processes_left_behind_sees_one_that_is_there(mark: str) -> None:
    running = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    try:
        assert left_behind(mark)
    finally:
        running.kill()
        running.communicate()
    alone(mark)


def test_after_all_of_them_the_host_still_runs_a_good_program() -> None:
    recording = run_trial("print('fair wind')", seconds=0.1)
    assert recording.ended == "finished"
    assert [line for _, line in recording.printed] == ["fair wind"]


def test_a_text_that_no_interpreter_takes_is_told_as_the_programs_fault() -> None:
    recording = run_trial("x = 1\0", seconds=0.1)
    assert recording.ended == "error"
    assert recording.problem is not None
    assert recording.problem.kind == "SyntaxError" and "character" in recording.problem.hint


def test_an_error_in_a_learners_own_module_is_told_with_its_file() -> None:
    files = {"main.py": "import helm\nhelm.steer()\n", "helm.py": "def steer():\n    north\n"}
    problem = run_trial(files, seconds=0.1).problem
    assert problem is not None
    assert (problem.kind, problem.file, problem.line) == ("NameError", "helm.py", 2)
    assert problem.calls == (("main.py", 2, "<module>"), ("helm.py", 2, "steer"))


def test_the_exception_of_a_callback_is_an_event_and_a_line_on_the_console() -> None:
    text = (FOLDER / "raises_in_a_callback.py").read_text(encoding="utf-8")
    recording = run_trial(text, seconds=1.0)
    faults = list(recording.of("fault"))
    assert len(faults) == 3  # at 100, 200 and 300 ms: the timer goes on
    assert (faults[0].error, faults[0].file) == ("KeyError", "main.py")
    told = [line for _, line in recording.printed if line.startswith("Unhandled exception")]
    assert len(told) == 3


def test_what_a_program_prints_stays_in_step_with_its_time() -> None:
    lines = "print('ahoy')\n" * 2000  # of which each is computed, too
    recording = run_trial(lines, seconds=1.0)
    # 115200 baud, ten bits a character, six characters a line (MicroPython quick reference,
    # read: the usual setting): 1920 lines a second, were there nothing to compute.
    computed = sum(map(int, re.findall(r"__spent__\((\d+),", counting(lines)))) / 2000
    assert len(recording.printed) == pytest.approx(1e6 / (60e6 / 115200 + computed), abs=2)
    times = [when for when, _ in recording.printed]
    assert times == sorted(times)
