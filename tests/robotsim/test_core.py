"""The compiled core: used only while it is of the present sources, and then equal to the bit."""

from __future__ import annotations

import ast
import dataclasses
import io
import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import types
import typing
from collections.abc import Iterator
from contextlib import redirect_stdout
from importlib.util import find_spec
from pathlib import Path

import pytest

from checks import compile as compiling
from checks.compile import MODULES, build, main, remove
from robotsim import KitError, Recording, core
from robotsim.core import LIST, WHICH, Core
from robotsim.parts import Quirks
from robotsim.wiring import Build

ROOT = Path(__file__).parents[2]
FEW = ("robotsim.chance", "robotsim.parts.linear", "robotsim.parts.wheels", "robotsim.units")
"""Enough that trials differ if they were compiled otherwise than Python runs them."""


def run(folder: Path | str, *command: str) -> str:
    """Run a command of this Python with the core of a folder; give what it printed."""
    done = subprocess.run(
        [sys.executable, *command], cwd=ROOT, env=os.environ | {WHICH: str(folder)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def need_compiler() -> None:
    """Skip with a word where nothing can be compiled."""
    if find_spec("mypyc") is None or not shutil.which("cc") and not shutil.which("gcc"):
        pytest.skip("there is no mypyc or no C compiler here")
    if not Path(sysconfig.get_path("include"), "Python.h").is_file():
        pytest.skip("Python's headers are not here")


@pytest.fixture(scope="module")
def few_told(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A folder with a few modules, compiled by the command, and what it said."""
    need_compiler()
    place = tmp_path_factory.mktemp("few")
    # The environment's folder lies in a checkout, whose settings must not be taken for ours.
    (place / "pyproject.toml").write_text('[tool.mypy]\nplugins = ["no_such_plugin"]\n')
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(io.StringIO()) as said:
        patch.setattr(compiling.core, "FOLDER", place / "core")
        patch.setattr(compiling, "build", lambda folder, stages: build(folder, FEW, 0, stages))
        patch.setattr(compiling, "_tried", lambda folder: "as quick")
        assert main([]) == 0
    return place / "core", said.getvalue()


@pytest.fixture(scope="module")
def few(few_told: tuple[Path, str]) -> Path:
    return few_told[0]


@pytest.fixture(scope="module")
def every(tmp_path_factory: pytest.TempPathFactory) -> Path:
    need_compiler()
    folder = tmp_path_factory.mktemp("every") / "core"
    build(folder, MODULES, 1)
    return folder


# -- which of the two runs -----------------------------------------------------------


def put(folder: Path, **words: object) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / LIST).write_text(json.dumps(words))
    return folder


def test_without_a_compiled_core_the_sources_run(tmp_path: Path) -> None:
    assert core.use(tmp_path / "nothing") is Core.PLAIN
    assert run("plain", "-c", "from robotsim import core; print(core.state.value)") == "plain\n"


def test_an_edited_source_is_never_passed_over(tmp_path: Path) -> None:
    names = ["robotsim.units", "robotsim.chance"]
    before = core.condensed(names)
    for name in names:
        copy = tmp_path.joinpath(*name.split(".")).with_suffix(".py")
        copy.parent.mkdir(exist_ok=True)
        copy.write_bytes(ROOT.joinpath(*name.split(".")).with_suffix(".py").read_bytes())
    assert core.condensed(names, tmp_path) == before
    copy.write_bytes(copy.read_bytes() + b"#")
    assert core.condensed(names, tmp_path) != before
    folder = put(tmp_path / "core", modules=names, sources=core.condensed(names, tmp_path))
    assert core.use(folder) is Core.OUTDATED
    gone = put(tmp_path / "core", modules=["robotsim.no_such"], sources=before)
    assert core.use(gone) is Core.OUTDATED


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"modules": 1, "sources": ""}', "\xff"])
def test_a_list_that_makes_no_sense_stops_nothing(text: str, tmp_path: Path) -> None:
    (tmp_path / LIST).write_text(text, encoding="latin-1")
    assert core.use(tmp_path) is Core.BROKEN


def test_a_library_that_does_not_load_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(sys.modules, core.GROUP, raising=False)  # it may run in this process
    names = ["robotsim.units"]
    folder = put(tmp_path / "core", modules=names, sources=core.condensed(names))
    before = list(sys.meta_path)
    assert core.use(folder) is Core.BROKEN
    assert sys.meta_path == before


# -- what is compiled ----------------------------------------------------------------


def classes(path: Path) -> Iterator[ast.ClassDef]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))


def test_a_class_with_heirs_that_are_not_compiled_says_so() -> None:
    """A compiled class refuses them unless its decorator allows them."""
    paths = {ROOT.joinpath(*name.split(".")).with_suffix(".py") for name in MODULES}
    made = {node.name: node for path in paths for node in classes(path)}
    others = {*ROOT.glob("robotsim/**/*.py")} - paths
    heirs = {
        base.id
        for path in others
        if "shims" not in path.parts and not path.name.startswith("boot_")
        for node in classes(path)
        for base in node.bases
        if isinstance(base, ast.Name) and base.id in made
    }
    assert "TugWorld" in heirs, "live mode has one of its own"
    open_ = {name for name, node in made.items()
             if any("allow_interpreted_subclasses=True" in ast.unparse(d)
                    for d in node.decorator_list)}  # fmt: skip
    assert heirs <= open_
    assert "Part" in open_, "who adds a part may do so without compiling anything"


def test_floats_are_added_by_python_itself() -> None:
    """Over a generator the compiler adds plainly; Python does not, from 3.12 on."""
    whole = ("bit_count()", 'a.source == "pin"')
    for name in MODULES:
        path = ROOT.joinpath(*name.split(".")).with_suffix(".py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "sum":
                what = ast.unparse(node.args[0]).replace("'", '"')
                over = isinstance(node.args[0], ast.GeneratorExp)
                assert not over or any(word in what for word in whole), f"{name}: {what}"


def test_what_a_recording_keeps_is_not_compiled() -> None:
    """It is packed and sent on, and a frozen class that is compiled cannot be unpacked again."""

    def kept(kind: object) -> Iterator[type]:
        for part in typing.get_args(kind):
            yield from kept(part)
        if isinstance(kind, type) and dataclasses.is_dataclass(kind):
            yield kind
            for part in typing.get_type_hints(kind).values():
                yield from kept(part)

    every = {*kept(Recording), *kept(Quirks)}
    assert Build in every
    assert not {kind.__module__ for kind in every} & {*MODULES}


# -- compiling -----------------------------------------------------------------------


def test_what_is_lacking_is_said_before_anything_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def asked() -> KitError:
        with pytest.raises(KitError) as raised:
            build(tmp_path / "core", FEW)
        assert not list(tmp_path.iterdir())
        return raised.value

    monkeypatch.setattr(compiling, "find_spec", lambda name: None)
    assert "mypy" in asked().what and "--compile" in asked().hint
    monkeypatch.setattr(compiling, "find_spec", lambda name: True)
    if os.name == "nt":
        return
    monkeypatch.setattr(compiling.shutil, "which", lambda name: None)
    assert "C compiler" in asked().what and "gcc" in asked().hint
    monkeypatch.setattr(compiling.shutil, "which", lambda name: "/usr/bin/cc")
    monkeypatch.setattr(compiling.sysconfig, "get_path", lambda name: str(tmp_path))
    assert "headers" in asked().what and "python3-dev" in asked().hint


def test_a_compiler_that_fails_leaves_what_was_there_and_its_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = put(tmp_path / "core", kept=True)

    def fail(command: list[str], *, log: Path, **_: object) -> int:
        log.write_text("unhappy.c:3: error: it is Monday\n")
        return 1

    monkeypatch.setattr(compiling, "_look_for_tools", lambda: None)
    monkeypatch.setattr(compiling, "stream", fail)
    with pytest.raises(KitError, match="Monday") as raised:
        build(folder, FEW)
    assert "Monday" in (tmp_path / "core.log").read_text()
    assert "core.log" in raised.value.where
    assert json.loads((folder / LIST).read_text()) == {"kept": True}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["core", "core.log"]


def test_a_source_that_is_edited_while_the_compiler_is_at_it_is_not_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashes = iter(["as it was", "as it is now"])

    def work(command: list[str], *, cwd: Path, **_: object) -> int:
        (cwd / "made").mkdir()
        next(hashes)
        return 0

    monkeypatch.setattr(compiling, "_look_for_tools", lambda: None)
    monkeypatch.setattr(compiling, "stream", work)
    monkeypatch.setattr(compiling.core, "condensed", lambda names: next(hashes))
    build(tmp_path / "core", FEW)
    assert json.loads((tmp_path / "core" / LIST).read_text())["sources"] == "as it was"


def test_undoing_leaves_nothing_and_may_be_done_twice(tmp_path: Path) -> None:
    folder = put(tmp_path / "core")
    assert remove(folder) and not remove(folder)
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_whoever_compiles_is_told_at_what_it_is(few_told: tuple[Path, str]) -> None:
    steps = re.findall(r"^  (\d) of 3: .* \d+ s$", few_told[1], re.M)
    assert steps == ["1", "2", "3"]


@pytest.mark.slow
def test_nothing_is_written_beside_a_source(few: Path) -> None:
    assert not [*ROOT.glob("robotsim/**/*.so"), *ROOT.glob("robotsim/**/*.pyd")]
    assert json.loads((few / LIST).read_text())["modules"] == list(FEW)
    code = "from robotsim import core; from robotsim.parts import wheels; print(wheels.__file__)"
    assert run(few, "-c", code).startswith(str(few))
    assert run("plain", "-c", code).startswith(str(ROOT))


@pytest.mark.slow
def test_a_recording_says_on_what_it_ran_and_keeps_nothing_of_it(few: Path) -> None:
    code = (
        "from robotsim import Recording, Whose, run_trial\n"
        "made = run_trial('print(1)', seconds=1, whose=Whose.KIT)\n"
        "print(made.core, Recording.from_bytes(made.to_bytes()) == made, repr(made))"
    )
    ours, plain = (run(folder, "-c", code).split(" ", 1) for folder in (few, "plain"))
    assert (ours[0], plain[0]) == ("compiled", "plain")
    assert ours[1] == plain[1] and ours[1].startswith("True")


# -- equal to the bit ----------------------------------------------------------------


@pytest.mark.slow
def test_a_sample_of_trials_is_equal_with_compiled_modules(
    few: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(compiling.core, "FOLDER", few)
    monkeypatch.setattr(compiling, "build", lambda folder, stages: None)
    assert main([]) == 0
    assert "recordings equal to the bit" in capsys.readouterr().out
    assert core.use(few / "gone") is Core.PLAIN and (few / LIST).is_file()


@pytest.mark.parametrize(
    "ours", ["compiled 1234 0.1", "broken abcd 0.1", ""], ids=["other", "not used", "dies"]
)
def test_what_does_otherwise_than_the_sources_is_taken_away(
    ours: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = put(tmp_path / "core")

    def told(*_: object, env: dict[str, str], **__: object) -> types.SimpleNamespace:
        plain = env[WHICH] == "plain"
        return types.SimpleNamespace(stdout="plain abcd 0.3" if plain else ours, stderr="")

    monkeypatch.setattr(compiling.core, "FOLDER", folder)
    monkeypatch.setattr(compiling, "build", lambda folder, stages: None)
    monkeypatch.setattr(compiling.subprocess, "run", told)
    assert main([]) == 1
    assert "taken away" in capsys.readouterr().err
    assert not folder.exists()


def test_a_core_whose_trial_was_stopped_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(compiling.core, "FOLDER", put(tmp_path / "core"))
    monkeypatch.setattr(compiling, "build", lambda folder, stages: None)
    monkeypatch.setattr(compiling.subprocess, "run", stop)
    assert main([]) == 130 and not [*tmp_path.iterdir()]
    assert "stopped\nThe kit runs without" in capsys.readouterr().out


CONFINED = """
import os, sys
from pathlib import Path
from robotsim import core, run_trial
from robotsim.board import confine
work, program = Path(sys.argv[1]), Path(sys.argv[2]).read_text()
os.environ["TMPDIR"] = str(work)
confine.confine_process(work, [Path("robotsim"), core.place])
made = run_trial(program, table="quay", seconds=3)
print(core.state.value, made.end, made.ended)
print(*[p.name for p in confine.protections() if p.on])
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="strangers' programs are kept in on Linux only")
def test_a_strangers_program_is_kept_in_as_well(few: Path, tmp_path: Path) -> None:
    program = ROOT / "tests" / "programs" / "speed" / "follow.py"
    told = []
    for number, folder in enumerate((few, "plain")):
        work = tmp_path / str(number)
        work.mkdir()
        told.append(run(folder, "-c", CONFINED, str(work), str(program)).splitlines())
    (state, *one), (plain, *other) = told[0][0].split(), told[1][0].split()
    assert (state, plain) == ("compiled", "plain")
    assert one == other and one[-3:] == ["time", "is", "up"]
    assert told[0][1] == told[1][1]
    assert {"limits", "files", "calls"} <= {*told[0][1].split()}


WRONG = """
import json
from robotsim import KitError, Whose, run_trial
for wrong in ({"serial": "x"}, {"serial": True}, {"seed": "x"}, {"seed": 1.5}, {"start": [0, 1]},
              {"start": (1, 2, "x")}, {"charge": 2.5}, {"day": 3}, {"table": "x"}):
    try:
        run_trial("print(1)", seconds=0.1, whose=Whose.KIT, **wrong)
    except KitError as fault:
        print(wrong, fault)
made = run_trial("print(1)", seconds=0.1, whose=Whose.KIT, start=[1, 0, 0], serial=3, charge=1)
print(made.end)
"""


@pytest.mark.long
def test_what_is_wrong_is_said_in_the_same_words_compiled(every: Path) -> None:
    ours, plain = (run(which, "-c", WRONG) for which in (every, "plain"))
    assert plain.count("Try:") == 9
    assert ours == plain


@pytest.mark.long
def test_two_tugs_and_a_plugged_one_with_each_fault_do_the_same_compiled(every: Path) -> None:
    ours, plain = (run(which, "-m", "tests.robotsim.heirs").split() for which in (every, "plain"))
    assert (ours[0], plain[0]) == ("compiled", "plain")
    assert ours[1] == plain[1]


@pytest.mark.long
def test_all_right_programs_leave_equal_recordings_on_twenty_tugs(every: Path) -> None:
    code = "from robotsim import core; print(core.state.value)"
    assert run(every, "-c", code) == "compiled\n"
    ours, plain = (run(which, "-m", "tests.checks.prints", "3") for which in (every, "plain"))
    assert len({line.split()[2] for line in plain.splitlines()}) == 20
    assert ours == plain
