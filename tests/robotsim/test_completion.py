"""Tab and Shift-Tab in a program's cell, through the kernel protocol as JupyterLab uses it."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from robotsim.completion import Scope, complete, inspect

TUG = '"""Motors."""\n\ndef drive(left, right):\n    """Drive both wheels."""\n\nTRIM = 3\n'
HEAD = "%%program main.py\n"
Ask = Callable[[str], dict[str, Any]]


@pytest.fixture(scope="module")
def kernel() -> Iterator[Any]:
    """One kernel for all questions, with the kit's first cell run and a module on its board."""
    from jupyter_client.manager import start_new_kernel

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # ipykernel says a word about TCP at its start
        manager, client = start_new_kernel()
    try:
        client.execute_interactive("from robotsim import run", timeout=60)
        client.execute_interactive("%%program tug.py\n" + TUG, timeout=60)
        yield client
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


@pytest.fixture
def tab(kernel: Any) -> Ask:
    """Ask for what may stand at the mark | of a cell."""

    def ask(cell: str) -> dict[str, Any]:
        at = cell.index("|")
        content = kernel.complete(cell.replace("|", ""), at, reply=True, timeout=60)["content"]
        assert content["status"] == "ok"
        return dict(content)

    return ask


@pytest.fixture
def shift_tab(kernel: Any) -> Ask:
    """Ask for the words about what stands at the mark | of a cell."""

    def ask(cell: str) -> dict[str, Any]:
        at = cell.index("|")
        return dict(kernel.inspect(cell.replace("|", ""), at, reply=True, timeout=60)["content"])

    return ask


def test_tab_offers_the_boards_modules(tab: Ask) -> None:
    assert "machine" in tab(HEAD + "import ma|")["matches"]
    assert tab(HEAD + "import numpy|")["matches"] == []
    assert "tug" in tab(HEAD + "from tu|")["matches"], "the learner's own module"


def test_tab_offers_what_a_module_has(tab: Ask) -> None:
    assert {"ADC", "PWM", "Pin"} <= {*tab(HEAD + "from machine import Timer, |")["matches"]}
    assert tab(HEAD + "from machine import Timer, P|")["matches"][::2] == ["PWM", "Pin"]
    cell = HEAD + "import time\n\nwhile True:\n    time.sl|"
    found = tab(cell)
    assert found["matches"] == ["sleep", "sleep_ms", "sleep_us"]
    assert (found["cursor_start"], found["cursor_end"]) == (len(cell) - 3, len(cell) - 1)


def test_tab_knows_what_an_object_is_and_what_comes_after_the_cursor(tab: Ask) -> None:
    cell = HEAD + "from neopixel import NeoPixel\nfrom machine import Pin\n"
    assert "write" in tab(cell + "np = NeoPixel(Pin(13), 5)\nnp.|\nprint(1)")["matches"]
    assert "IN" in tab(cell + "eye = Pin(36, Pin.|")["matches"]
    assert tab(HEAD + "import tug\ntug.dr|")["matches"] == ["drive"]


def test_tab_offers_no_name_of_the_notebook_in_a_program(tab: Ask) -> None:
    assert "run" not in tab(HEAD + "ru|")["matches"]
    assert "run" in tab("ru|")["matches"], "an ordinary cell is as ever"


def test_shift_tab_tells_how_a_thing_is_called_and_what_it_does(shift_tab: Ask) -> None:
    said = shift_tab(HEAD + "import time\ntime.sleep_ms(|10)")
    assert said["found"]
    text = said["data"]["text/plain"]
    assert text.startswith("time.sleep_ms(ms)") and "Wait for a number of milliseconds" in text
    assert "pulse train" in shift_tab(HEAD + "from machine import PWM\nPW|M")["data"]["text/plain"]


def test_shift_tab_tells_of_the_learners_own_and_of_what_python_shares(shift_tab: Ask) -> None:
    own = shift_tab(HEAD + "from tug import drive\ndriv|e(1, 2)")["data"]["text/plain"]
    assert own.startswith("tug.drive(left, right)") and "Drive both wheels." in own
    assert "sine" in shift_tab(HEAD + "import math\nmath.si|n(0)")["data"]["text/plain"]
    assert not shift_tab(HEAD + "import math\nmath.dis|t")["found"], "the board has no math.dist"


def test_other_cells_are_answered_as_ever(tab: Ask, shift_tab: Ask) -> None:
    assert "%%program" in tab("%%progr|")["matches"]
    assert shift_tab("le|n([1])")["found"]


@pytest.mark.parametrize(
    "broken",
    ["(((\n|", "def f(:\n  x = \n  |", "'''\n|", "from\n|", "import \0|", "a.b().c.|", "|"],
)
def test_text_that_is_only_half_written_is_no_trouble(broken: str) -> None:
    cell = HEAD + broken
    at = cell.index("|")
    for ask in (complete, inspect):
        assert ask(cell.replace("|", ""), at, {"tug.py": "def ("})["status"] == "ok"


def test_a_names_meaning_follows_imports_under_other_names() -> None:
    code = HEAD + "import time as t\nfrom machine import Pin as P\nled = P(13)\n"
    scope = Scope.of(code + "\n", len(code), {})
    for name, meant in (("t.sleep", "time.sleep"), ("led.on", "machine.Pin.on")):
        entry = scope.meaning(name)
        assert entry is not None and entry.name == meant
    assert scope.meaning("led.sail") is None
