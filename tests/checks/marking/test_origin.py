"""Nothing runs a program without saying whose it is; looking at a recording runs nothing."""

from __future__ import annotations

import ast
import functools
import inspect
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checks import check
from checks.course.lessons import ROOT
from robotsim import KitError, Recording, Whose, ready, replay, run_trial
from robotsim.board.engines import command
from robotsim.board.link import Link
from robotsim.notebook import FLASH
from robotsim.session import Session, board_seed
from robotsim.trial import with_lines

RUNS = {"run_trial", "Link", "Session", "LiveSession"}
"""What starts an interpreter on a program, or leads straight to it."""


@functools.cache
def calls(path: Path) -> list[ast.Call]:
    return [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(n, ast.Call)]  # fmt: skip


def name(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def kit() -> list[Path]:
    found = [p for package in ("robotsim", "checks") for p in (ROOT / package).rglob("*.py")]
    # Another thing of this name: the broker's sessions.
    return [path for path in found if path.as_posix().split("/robotsim/")[-1] != "radio/broker.py"]


def test_whatever_runs_a_program_says_whose_it_is() -> None:
    found = [(path, call) for path in kit() for call in calls(path) if name(call) in RUNS]
    assert len(found) > 15
    for path, call in found:
        words = {word.arg for word in call.keywords}
        named = "whose" in words or any("whose" in ast.unparse(a).lower() for a in call.args)
        # A dictionary of arguments, such as `**around`, is given on from where it is said.
        assert named or None in words, f"{path}, line {call.lineno}"


def test_to_forget_it_is_an_error_at_the_bottom_and_confines_further_up() -> None:
    assert inspect.signature(Link).parameters["whose"].default is inspect.Parameter.empty
    assert inspect.signature(Session).parameters["whose"].default is inspect.Parameter.empty
    for door in (run_trial, check, ready):
        assert inspect.signature(door).parameters["whose"].default is Whose.STRANGER


def test_only_the_link_asks_for_an_interpreter() -> None:
    asking = {path.relative_to(ROOT).as_posix() for path in kit() for call in calls(path)
              if name(call) == "command" and "robotsim" in path.parts}  # fmt: skip
    assert asking <= {"robotsim/board/link.py", "robotsim/board/confine_files.py",
                      "robotsim/onto/running.py", "robotsim/board/engines/__init__.py"}  # fmt: skip
    # The plugged tug runs what its own person sends over the cable, and nothing else does.
    plugs = {path.relative_to(ROOT).as_posix() for path in kit() for call in calls(path)
             if name(call) == "plugged"}  # fmt: skip
    assert plugs == {"robotsim/cable/commands.py", "robotsim/cable/console.py"}
    # A nursery forks processes for programs that are confined, and is a way within the link's.
    nurseries = {path.relative_to(ROOT).as_posix() for path in kit() for call in calls(path)
                 if name(call) in ("nursery_command", "born")}  # fmt: skip
    assert nurseries == {"robotsim/board/nursery.py", "robotsim/board/link.py"}
    starting = {path.relative_to(ROOT).as_posix() for path in kit() for call in calls(path)
                if name(call) == "Popen"}  # fmt: skip
    # Beside it a worker is started, which never sees a learner's program but through the link.
    assert "robotsim/board/link.py" in starting


SPY = """\
try:
    print.__globals__["os"].open("SECRET", 0)
    print("READ")
except OSError:
    print("kept out")
"""


def spy(tmp_path: Path) -> str:
    (tmp_path / "secret").write_text("tide", encoding="utf-8")
    return SPY.replace("SECRET", str(tmp_path / "secret"))


@pytest.fixture(scope="module", autouse=True)
def _forked() -> None:
    """Start them here: what a nursery forks is confined, whosever it is."""


def needs_layers() -> None:
    from robotsim.board.confine import refusal

    if refusal() is not None:
        pytest.skip("this computer cannot confine a program")


def test_a_program_of_which_nothing_is_said_is_confined(tmp_path: Path) -> None:
    needs_layers()
    text = spy(tmp_path)
    assert [line for _, line in run_trial(text, seconds=0.2).printed] == ["kept out"]
    assert [line for _, line in run_trial(text, seconds=0.2, whose=Whose.OWN).printed] == ["READ"]


def noting(monkeypatch: pytest.MonkeyPatch, what: Callable[[Any, Any], object]) -> list[object]:
    """Have something noted of every start of a program, from its arguments and named ones."""
    noted: list[object] = []
    begin = Link.__init__

    def start(self: Link, *words: Any, **named: Any) -> None:
        noted.append(what(words, named))
        begin(self, *words, **named)

    monkeypatch.setattr(Link, "__init__", start)
    return noted


def counting(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Have it noted whose every program is that is started."""
    return noting(monkeypatch, lambda _, named: named["whose"])


def test_loading_and_looking_at_a_recording_runs_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    needs_layers()
    made = run_trial(spy(tmp_path), seconds=0.2)
    loaded = Recording.load(made.save(tmp_path / "trial"))
    started = counting(monkeypatch)
    monkeypatch.setattr("IPython.display.display", lambda *_, **__: None)
    replay(loaded)
    assert started == [] and loaded.whose is None and with_lines(loaded) is loaded
    replay(loaded, rerun=True)  # asked for, and confined
    assert started == [Whose.STRANGER]
    again = with_lines(loaded, rerun=True)
    assert again.lines and [line for _, line in again.printed] == ["kept out"]


def test_what_was_run_here_is_followed_as_whose_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    made = run_trial("import time\ntime.sleep(0.1)\n", seconds=0.2, whose=Whose.OWN)
    started = counting(monkeypatch)
    assert with_lines(made).lines and started == [Whose.OWN]


def test_whose_it_was_is_not_kept_and_cannot_be_claimed(tmp_path: Path) -> None:
    made = run_trial("pass", seconds=0.1, whose=Whose.OWN)
    assert Recording.from_bytes(made.to_bytes()).whose is None
    assert b"whose" not in made.to_bytes()


def test_under_nbgraders_marking_the_board_is_a_strangers(monkeypatch: pytest.MonkeyPatch) -> None:
    assert FLASH.whose is Whose.OWN
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    assert FLASH.whose is Whose.STRANGER


@pytest.mark.parametrize("engine", ["cpython", "micropython"])
def test_a_file_of_any_built_in_modules_name_unlocks_nothing(
    engine: str, need_engine: None
) -> None:
    reaching = (
        "import {0}\nprint({0}.mine)\n"
        "for fault in ('open', 'mount', 'VfsPosix', 'mem8', 'poll', 'POLLIN'):\n"
        "    print(hasattr({0}, fault))\n"
    )
    for module in ("vfs", "uctypes", "select", "termios", "_thread", "tls", "ssl", "platform"):
        for own in ("mine = 1\n", f"mine = 1\ntry:\n    from {module} import *\nexcept: pass\n"):
            files = {"main.py": reaching.format(module), f"{module}.py": own}
            told = run_trial(files, seconds=0.2, engine=engine, whose=Whose.KIT)
            assert [line for _, line in told.printed] == ["1", *["False"] * 6], (module, told)


FINDS = """\
here = print.__globals__
for way in ('__import__("vfs", {"__file__": here["sys"].argv[1]})', '__import__("builtins")',
            'here["_link"].builtins.open', 'execfile("/etc/passwd")', 'here["_import"]("vfs")',
            'here["io"].open("/etc/passwd")', 'here["sys"].modules["vfs"]',
            'here["_link"].sys.modules["__main__"]', 'open("/etc/passwd")'):
    try:
        eval(way)
        print(way)
    except Exception:
        print("kept out")
"""


def test_the_real_interpreters_importer_is_out_of_reach() -> None:
    try:
        command("micropython")
    except KitError as missing:
        pytest.skip(str(missing))
    told = run_trial(FINDS, seconds=0.5, engine="micropython", whose=Whose.KIT)
    assert [line for _, line in told.printed] == ["kept out"] * 9


def test_the_boards_random_numbers_do_not_give_the_trial_away(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seeds = [board_seed(seed, 7) for seed in range(2000)]
    assert len(set(seeds)) == len(seeds)
    assert not {board_seed(seed, 7) for seed in range(2000)} & set(range(2000))
    bits = sum(seed.bit_count() for seed in seeds) / len(seeds)
    assert 15.5 < bits < 16.5  # half of 32, whatever the trial's seed
    given = noting(monkeypatch, lambda words, _: words[4])
    told = []
    for seed in (4, 5, 4):
        text = "import random\nprint(random.random())"
        told.append(run_trial(text, seed=seed, seconds=0.1, whose=Whose.KIT).printed)
    assert given == [board_seed(seed, 0) for seed in (4, 5, 4)]
    assert told[0] == told[2] != told[1]


def test_a_probe_is_no_program_of_a_learners() -> None:
    """What is let in to try the doors leaves nothing behind."""
    from robotsim.board.confine import protections

    assert {one.name for one in protections()} >= {"files", "calls", "limits"}
    assert not list(Path(tempfile.gettempdir()).glob("quayside-probe-*"))
