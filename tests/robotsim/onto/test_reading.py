"""What `ready` reads off a program: held against the real interpreter, and free of false alarms."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NamedTuple

import pytest

from checks.course.lessons import LESSONS
from robotsim import KitError, run_trial
from robotsim.board.engines import command
from robotsim.notebook import program_cell
from robotsim.onto.advice import Advice
from robotsim.onto.advise import _read
from tests.checks.test_worked import solution

PROGRAMS = Path(__file__).parents[2] / "programs"


class Case(NamedTuple):
    """A program whose last line fails on a board, and what `ready` must say of it."""

    text: str
    says: str
    kind: str


FAILS = {
    "text backwards": Case("word = str(123)\n'abc'[::-1]", "slices", "NotImplementedError"),
    "every second byte": Case("bytes(8)[::2]", "slices", "NotImplementedError"),
    "delete with a step": Case("a = [1, 2, 3]\ndel a[::2]", "delete", "NotImplementedError"),
    "pattern that looks inside": Case(
        "'{0[1]}'.format((1, 2))", "look into", "NotImplementedError"
    ),
    "class with keywords": Case("class A(metaclass=type): pass", "keywords", "TypeError"),
    "signed": Case("int.from_bytes(b'ab', 'big', signed=True)", "signed=", "TypeError"),
    "flush": Case("print('a', flush=True)", "flush=", "TypeError"),
    "strict": Case("list(zip([1], [2], strict=True))", "strict=", "TypeError"),
    "sum from": Case("sum([1], start=2)", "start=", "TypeError"),
    "maxsplit": Case("'a b'.split(maxsplit=1)", "maxsplit=", "TypeError"),
    "encoding": Case("'a'.encode(encoding='utf-8')", "encoding=", "TypeError"),
    "zfill": Case("text = '7'\ntext.zfill(3)", "zfill()", "AttributeError"),
    "removeprefix": Case("'tug-7'.removeprefix('tug-')", "removeprefix()", "AttributeError"),
    "bit_length": Case("n = 5\nn.bit_length()", "bit_length()", "AttributeError"),
    "math.dist": Case("import math\nmath.dist((0, 0), (1, 1))", "no 'dist'", "AttributeError"),
    "math under another name": Case("import math as m\nm.hypot(3, 4)", "'hypot'", "AttributeError"),
    "time.monotonic": Case("import time\ntime.monotonic()", "'monotonic'", "AttributeError"),
    "from time": Case("from time import perf_counter", "'perf_counter'", "ImportError"),
    "Pin.OUTPUT": Case(
        "from machine import Pin\nPin(13, Pin.OUTPUT)", "'OUTPUT'", "AttributeError"
    ),
    "numpy": Case("import numpy", "no module 'numpy'", "ImportError"),
    "dataclasses": Case("from dataclasses import dataclass", "'dataclasses'", "ImportError"),
    "builtin": Case("vars()", "knows no vars", "NameError"),
    "exception": Case(
        "def f(kind):\n    pass\nf(FileNotFoundError)", "FileNotFoundError", "NameError"
    ),
    "noted on a function": Case("def f():\n    pass\nf.count = 0", "attributes", "AttributeError"),
    "JSONDecodeError": Case(
        "import json\njson.JSONDecodeError", "'JSONDecodeError'", "AttributeError"
    ),
}
"""Known differences of the language and the library, each the last line of a small program."""


@pytest.mark.parametrize("name", FAILS)
def test_what_is_said_to_fail_fails_under_the_real_interpreter(name: str) -> None:
    case = FAILS[name]
    last = len(case.text.split("\n"))
    found = [one for one in _read("main.py", {"main.py": case.text}) if one.fails]
    assert [one.line for one in found] == [last], found
    assert case.says in found[0].cause and case.kind in found[0].cause
    assert len(found[0].cure) > 12
    try:
        command("micropython")
    except KitError as missing:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(str(missing))
    problem = run_trial(case.text, seconds=0.2, engine="micropython").problem
    assert problem is not None and problem.kind == case.kind, problem
    assert problem.line == last


MINDS = {
    "slice of who knows what": ("def f(x):\n    return x[::-1]", 2, "step 1 only"),
    "a dict's order": ("a = {1: 2, 3: 4}\nfor k in a:\n    print(k)", 2, "no order"),
    "items of a dict": ("for k, v in {1: 2, 3: 4}.items():\n    print(k)", 1, "no order"),
    "equal ranges": ("a = range(3)\nprint(a == range(3))", 2, "the same one"),
    "names of names": ("print(dir())", 1, "other names"),
    "a method that nobody calls": (
        "class A:\n    def __format__(self, spec):\n        return ''", 1, "never calls"
    ),
    "too many digits": ("x = 3.14159265358979", 1, "7 digits"),
    "equal floats": ("x = 1.0\nif x == 0.1:\n    pass", 2, "rarely equal"),
    "whole seconds": ("import time\na = time.time()\nprint(time.time() - a)", 3, "whole seconds"),
    "plain difference": ("import time\na = time.ticks_ms()\nb = time.ticks_ms() - a", 3, "2^30"),
    "microseconds as a float": ("import time\nt = time.ticks_us() / 1e6", 2, "last digits"),
    "a large buffer": ("SIZE = 50_000\na = bytearray(SIZE)", 2, "50 kB"),
    "another scale": ("p.duty_u16(512)", 1, "0.8 %"),
    "half power at once": ("from machine import PWM, Pin\np = PWM(Pin(25), freq=1000)", 2, "50 %"),
    "a password in the program": ("w.connect('pier', 'gull-and-herring')", 1, "password"),
    "waiting without a rest": ("while pin.value():\n    pass", 1, "waits"),
}
MINDS |= {
    "for ever without its network": (
        "import time\nwhile not w.isconnected():\n    time.sleep_ms(100)", 2, "for ever"
    ),
}  # fmt: skip
WAITS = {
    "no sleep": ("while True:\n    led.toggle()", 1, "never sleeps"),
    "a loop that does nothing": ("while True:\n    pass", 1, "switched off"),
    "a sleep in a task": (
        "import asyncio, time\nasync def blink():\n    time.sleep(1)", 3, "every other task"
    ),
    "a sleep in a callback": (
        "import time\ndef on(t):\n    time.sleep(1)\nt.init(period=9, callback=on)", 3, "holds up"
    ),
    "asks the console": ("name = input('who? ')", 1, "nobody sits"),
    "too large": ("a = [0] * 40_000", 1, "160 kB"),
}  # fmt: skip


@pytest.mark.parametrize("name", [*MINDS, *WAITS])
def test_advice_names_line_cause_and_cure(name: str) -> None:
    text, line, says = {**MINDS, **WAITS}[name]
    found = [one for one in _read("main.py", {"main.py": text}) if says in one.cause]
    assert [(one.line, one.fails) for one in found] == [(line, name in WAITS)], found
    assert found[0].cure and found[0].source == text.split("\n")[line - 1].strip()


GOOD = {
    "a list backwards": "a = [1, 2, 3]\nprint(list(a)[::-1], [1, 2][::2])",
    "a sleep in a function that the loop calls": (
        "import time\ndef rest():\n    time.sleep_ms(5)\nwhile True:\n    rest()"
    ),
    "a loop in a generator": "def steps():\n    while True:\n        yield 1",
    "an awaited sleep": (
        "import asyncio\nasync def f():\n    while True:\n        await asyncio.sleep_ms(5)"
    ),
    "a network with a time limit": (
        "import time\nn = 0\nwhile not w.isconnected() and n < 50:\n    n += 1\n"
        "    time.sleep_ms(100)\n    if n > 40:\n        break"
    ),
    "a method of one's own": "class A:\n    def title(self):\n        return 1\nprint(A().title())",
    "a name of one's own": "format = '%d'\nprint(format % 3)",
    "one's own module": "import tug\ntug.drive(1, 2)",
    "an import that may fail": "try:\n    import settings\nexcept ImportError:\n    pass",
    "waiting while it is connected": ("import time\nwhile w.isconnected():\n    time.sleep_ms(9)"),
    "a pattern with numbers": "print('{0} {1:>4}'.format(1, 2))",
}


@pytest.mark.parametrize("name", GOOD)
def test_what_a_board_can_do_is_left_alone(name: str) -> None:
    files = {"main.py": GOOD[name], "tug.py": "def drive(a, b): pass"}
    assert [one for one in _read("main.py", files) if one.fails] == []


def test_a_characters_name_is_refused_by_the_boards_compiler() -> None:
    text = "a = 5\nprint('\\N{BULLET}', r'\\N{BULLET}')  # \\N{BULLET}"
    (found,) = _read("main.py", {"main.py": text})
    assert (found.line, found.fails) == (2, True) and "by name" in found.cause
    try:
        problem = run_trial(text, seconds=0.2, engine="micropython").problem
    except KitError:
        pytest.skip("the real interpreter is not installed here")
    assert problem is not None and problem.kind == "NotImplementedError"


def test_a_file_that_a_board_would_never_import_is_told() -> None:
    (found,) = _read("math.py", {"math.py": "def sin(x): return 0\n"})
    assert found.fails and "never imported" in found.cause


def _alarms(files: dict[str, str]) -> list[Advice]:
    return [one for name in files for one in _read(name, files) if one.fails]


def _beside(path: Path) -> dict[str, str]:
    """Give the files that are on the board beside a program: those in the folder `with`."""
    return {p.name: p.read_text(encoding="utf-8") for p in path.parent.glob("with/*.py")}


@pytest.mark.slow
def test_no_right_program_of_this_kit_raises_a_false_alarm() -> None:
    """All of them run under the real interpreter: nothing in them can fail there by its words."""
    paths = sorted(PROGRAMS.glob("*/*/right_*.py"))
    assert len(paths) > 60
    texts = {path: path.read_text(encoding="utf-8") for path in paths}
    alarms = {
        path.stem: found for path, text in texts.items()
        if (found := _alarms({"main.py": text, **_beside(path)}))
    }  # fmt: skip
    assert not alarms, alarms


def test_no_worked_solution_raises_a_false_alarm() -> None:
    lessons = [path.stem for path in LESSONS.glob("*.md") if path.stem == path.stem.lower()]
    assert "drive" in lessons and program_cell("%%program a.py\n") is not None
    found = [(lesson, one) for lesson in lessons for one in _alarms(solution(lesson))]
    slips = {(lesson, one.file) for lesson, one in found}
    assert slips == {("start", "slip.py"), ("board", "unfit.py")}, "these are there to be found"
