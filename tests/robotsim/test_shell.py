"""A real kernel: its board comes back, a board's line is told where it belongs."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jupyter_client.manager import start_new_kernel

import robotsim
from robotsim.locker import BOARDS
from robotsim.meant import ASKED_FOR, of_the_board, of_the_kit
from tests.robotsim.endless import ENDLESS

ROOT = Path(__file__).parents[2]
FIRST = "from robotsim import run\nfrom checks import check"


class Notebook:
    """Cells run in a kernel, each giving its text."""

    def __init__(self, folder: Path) -> None:
        around = {**os.environ, "JPY_SESSION_NAME": "1-lamps.ipynb", "PYTHONPATH": str(ROOT)}
        self.manager, self.client = start_new_kernel(
            kernel_name="python3", env=around, cwd=str(folder),
            extra_arguments=["--log-level=ERROR"],
        )  # fmt: skip

    def cell(self, text: str, interrupted_after_s: float | None = None) -> str:
        asked = self.client.execute(text)
        if interrupted_after_s is not None:
            time.sleep(interrupted_after_s)
            self.manager.interrupt_kernel()
        told: list[str] = []
        while True:
            said = self.client.get_iopub_msg(timeout=60)
            if said["parent_header"].get("msg_id") != asked:
                continue
            content, kind = said["content"], said["msg_type"]
            if kind == "status" and content["execution_state"] == "idle":
                return "\n".join(told)
            told += _texts(kind, content)

    def end(self) -> None:
        self.client.stop_channels()
        self.manager.shutdown_kernel(now=True)


def _texts(kind: str, content: dict[str, Any]) -> list[str]:
    if kind == "error":
        return list(content["traceback"])
    data = content.get("data", {})
    return [content["text"]] if kind == "stream" else [str(text) for text in data.values()]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / BOARDS).mkdir()
    return tmp_path


@pytest.fixture
def notebook(folder: Path) -> Iterator[Notebook]:
    made = Notebook(folder)
    yield made
    made.end()


def test_a_program_outlives_its_kernel_and_card_and_run_say_since_when(folder: Path) -> None:
    first = Notebook(folder)
    first.cell(FIRST)
    assert "is on the board" in first.cell("%%program side.py\nprint('still here')")
    first.end()
    second = Notebook(folder)
    try:
        second.cell(FIRST)
        told = second.cell("run('side.py', seconds=0.1)")
        assert "side.py, put on the board a moment ago." in told and "still here" in told
        assert "Judged: side.py, put on the board" in second.cell("check('lamps.side')")
    finally:
        second.end()


def test_a_cell_that_is_nearly_a_program_is_told_and_so_is_a_word_that_was_not_fetched(
    notebook: Notebook,
) -> None:
    notebook.cell(FIRST)
    for cell in ("# mine\n%%program side.py\nx = 1", "%%Program side.py\nx", "%program side.py"):
        told = notebook.cell(cell)
        assert "does not put a program on the board" in told and "very first line" in told
    assert "does not put" not in notebook.cell("\n%%program side.py\n# %%program\nx = 1")
    assert "`from robotsim import back` first" in notebook.cell("back('side.py')")
    assert {*ASKED_FOR} <= {*robotsim.__all__}


def test_a_cell_with_a_first_line_alone_is_an_empty_program_as_marking_takes_it(
    notebook: Notebook,
) -> None:
    notebook.cell(FIRST)
    told = notebook.cell("%%program empty.py")
    assert "empty: write the program below" in told and "UsageError" not in told


def test_a_name_without_quotes_or_brackets_is_told_and_shown_with_them(notebook: Notebook) -> None:
    notebook.cell(FIRST)
    for cell, words in (
        ("run(trip.py)", 'as in run("trip.py")'), ("run(trip)", 'as in run("trip.py")'),
        ("check( lamps.side )", 'as in check("lamps.side")'),
        ("run('a.py', table=quay)", 'Try: write "quay".'),
        ("check('lamps.side').repaly()", "did you mean .replay()?"),
        ("check('lamps.side').point", "did you mean .points?"),
        ("from robotsim import rum", "did you mean run?"),
        ("check('lamps.side').replay", "brackets are missing, .replay()"),
        ("run trip.py", 'Try: write run("trip.py").'), ("run 'trip'", 'Try: write run("trip.py").'),
        ('check "lamps.side"', 'Try: write check("lamps.side").'),
        ("program hello.py\nx = 1", "did you mean `%%program hello.py`?"),
        ("Run('a.py')", "did you mean run?"), ("run('a.py', replay=true)", "did you mean True?"),
        ("run", "brackets are missing, run(...)"), ("run()", "run needs a program's name"),
    ):  # fmt: skip
        told = notebook.cell(cell)
        assert words in told and "Traceback" not in told and str(ROOT) not in told, cell
    assert "Traceback" in notebook.cell("run('a.py', seconds=secs)")
    assert notebook.cell("def f(): pass\nf").startswith("<function __main__.f")
    assert notebook.cell("[].append").startswith("<function list.append")


def test_a_name_of_the_kit_that_has_another_value_is_told_so(notebook: Notebook) -> None:
    notebook.cell(FIRST)
    for cell in ("run = 'trip.py'\nrun('trip.py')", "check = 3\ncheck('lamps.side')",
                 "def run(name):\n    pass\nrun('trip.py', seconds=5)"):  # fmt: skip
        told = notebook.cell(cell)
        assert "so the kit's" in told and "is covered" in told and "Traceback" not in told, cell
        name = cell.split("(")[0].split()[-1] if cell.startswith("def") else cell.split()[0]
        home = "checks" if name == "check" else "robotsim"
        assert f"`from {home} import {name}` to have it again" in told, told
        assert "ran" in notebook.cell(f"from {home} import {name}\n{name}\nprint('ran')")
    assert "Traceback" in notebook.cell("text = 'x'\ntext('y')")
    assert "Traceback" in notebook.cell("def f(a):\n    pass\nf()")
    assert "SyntaxError" in notebook.cell("x = = 3")


def test_a_name_of_the_kit_that_a_recording_covers_is_told_so_and_comes_back(
    notebook: Notebook,
) -> None:
    notebook.cell(FIRST)
    notebook.cell("%%program trip.py\nprint('on the way')")
    for name, use in (("run", "run('trip.py', picture=False)"), ("PINS", "PINS(25)")):
        notebook.cell(f"from robotsim import run\n{name} = run('trip.py', picture=False)")
        told = notebook.cell(use)
        assert f"{name} is the recording that a run gave in this notebook" in told, told
        assert f"`from robotsim import {name}` to have it again" in told
    assert "made = run(...)" in notebook.cell("run = 3\nrun('trip.py')")
    again = notebook.cell("from robotsim import run\nrun('trip.py', picture=False)")
    assert again.startswith("<trip.py on basin"), again
    assert "TASKS is 3 in this notebook" in notebook.cell("TASKS = 3\nTASKS['lamps.side']")


def test_the_rest_of_a_program_in_a_cell_of_its_own_is_told_where_it_belongs(
    notebook: Notebook,
) -> None:
    notebook.cell(FIRST)
    notebook.cell("%%program side.py\nfrom neopixel import NeoPixel\nnp = NeoPixel(13, 5)")
    told = notebook.cell("np[0] = (0, 60, 0)\nnp.write()")
    assert "np belongs to side.py" in told and "below its last one" in told
    assert "Traceback" not in told
    assert "Traceback" in notebook.cell("other[0] = 1")


def test_what_a_recording_has_not_is_told_with_what_asks_it(notebook: Notebook) -> None:
    notebook.cell(FIRST)
    notebook.cell("%%program trip.py\nprint(1)")
    told = notebook.cell("run('trip.py', picture=False).replay()")
    assert "replay(made)" in told and "replay=True" in told and "it has:" not in told


def test_what_waits_for_input_ends_in_one_line_when_it_is_interrupted(notebook: Notebook) -> None:
    notebook.cell(FIRST)
    told = notebook.cell("name = input('Your name?')", interrupted_after_s=1)
    assert told.endswith("Stopped by you. Nothing is lost: run the cell again.")
    assert "Traceback" not in told


def test_a_line_of_the_board_in_an_ordinary_cell_is_told_where_it_belongs(
    notebook: Notebook,
) -> None:
    notebook.cell(FIRST)
    for text in ("from machine import Pin", "import time\ntime.sleep_ms(3)", "np = NeoPixel(3, 4)"):
        told = notebook.cell(text)
        assert "is there on the tug's board; this cell runs on your computer" in told, text
        assert "%%program" in told and "Traceback" not in told
    for text in ("import not_there_at_all", "{}.keyz", "undefined", "1 / 0"):
        told = notebook.cell(text)
        assert "board" not in told and "Traceback" in told, text
    assert notebook.cell("print('goes on')") == "goes on\n"


def test_an_interrupt_ends_a_run_in_one_line_and_elsewhere_as_usual(notebook: Notebook) -> None:
    notebook.cell(FIRST)
    notebook.cell(f"%%program slow.py\n{ENDLESS}")
    for _ in range(3):
        told = notebook.cell("run('slow.py', seconds=600, picture=False)", interrupted_after_s=3)
        if "Exception ignored" not in told:  # Python loses one that comes while it clears up
            break
    assert told == "Stopped by you. Nothing is lost: run the cell again."
    assert "KeyboardInterrupt" in notebook.cell("while True: pass", interrupted_after_s=1)
    assert notebook.cell("run('slow.py', seconds=0.01, picture=False).ended") == "'time is up'"


def test_only_what_the_board_has_is_said_to_be_there() -> None:
    assert of_the_board(ModuleNotFoundError("no", name="umqtt.simple")) == "The module umqtt"
    assert of_the_board(ModuleNotFoundError("no", name="pandas")) is None
    assert of_the_board(NameError("no", name="PWM")) == "PWM"
    assert of_the_board(NameError("no", name="sum_of_all")) is None
    assert of_the_board(AttributeError("module 'time' has no attribute 'ticks_us'")) == (
        "time.ticks_us"
    )
    assert of_the_board(AttributeError("module 'time' has no attribute 'nap'")) is None


def test_what_a_first_cell_fetches_is_known_when_it_is_missed(notebook: Notebook) -> None:
    """Whatever a lesson's plain cells import from the kit: none ends in a bare NameError."""
    fetched = set()
    for source in sorted((ROOT / "lessons").glob("*.md")):
        if source.stem.islower():  # a lesson, not the teacher's page
            text = source.read_text(encoding="utf-8")
            for names in re.findall(r"^from (?:robotsim|checks)\S* import (.+)", text, re.M):
                fetched |= {name.strip() for name in names.split(",")}
    assert {"run", "check", "slide_pulse", "Airwaves"} <= fetched
    fetched -= {"live"}  # of a cell that is shown and not run
    assert [name for name in sorted(fetched) if of_the_kit(NameError(name=name)) is None] == []
    assert of_the_kit(NameError(name="speed")) is None
    notebook.cell("import robotsim.notebook")
    told = notebook.cell("slide_pulse(1500)")
    assert "that has slide_pulse in an import line" in told and "Traceback" not in told
