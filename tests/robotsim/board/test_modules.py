"""What a program may import, what runs before it, and how the two engines write numbers."""

from __future__ import annotations

import calendar
import random
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import Recording, run_trial
from robotsim.board.engines import ENGINES
from robotsim.board.engines.offered import ALIASES
from robotsim.board.names import hides, names_of, unheard
from robotsim.board.rules import INSTEAD
from tests.robotsim.board.test_shims import _time


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


def run(engine: str, text: str, seconds: float = 2.0, **files: str) -> Recording:
    named = {f"{name}.py": content for name, content in files.items()}
    return run_trial({"main.py": text, **named}, seconds=seconds, engine=engine)


def printed(recording: Recording) -> list[str]:
    assert recording.problem is None, recording.problem
    return [line for _, line in recording.printed]


# -- what runs first -------------------------------------------------------------


def test_boot_py_runs_first_and_leaves_its_names(engine: str, need_engine: None) -> None:
    assert printed(run(engine, "print(speed, __name__)", boot="speed = 5\nprint('boot')\n")) == [
        "boot", "5 __main__",
    ]  # fmt: skip


def test_a_boot_py_that_fails_is_told_and_the_program_runs(engine: str, need_engine: None) -> None:
    recording = run(engine, "print('main')", boot="import time\nnorth\n")
    assert recording.ended == "finished"
    assert [line for _, line in recording.printed][-1] == "main"
    problem = recording.problem
    assert problem is not None
    assert (problem.file, problem.line, problem.kind) == ("boot.py", 2, "NameError")


def test_a_learners_modules_import_each_other_once(engine: str, need_engine: None) -> None:
    helm = "import rudder\nprint('helm')\ndef steer():\n    return rudder.angle\n"
    text = "import helm, rudder\nimport helm as again\nprint(helm.steer(), again is helm)\n"
    assert printed(run(engine, text, helm=helm, rudder="angle = 7\n")) == ["helm", "7 True"]


def test_a_learners_file_comes_before_a_module_unless_that_is_built_in_for_good(
    engine: str, need_engine: None
) -> None:
    # So the real interpreter does it (run).
    text = "import random, math, gc\nprint(random.own, math.pi > 3.1, gc.mem_free() > 0)"
    own = {"random": "own = 5\n", "math": "pi = 3\n", "gc": "own = 5\n"}
    assert printed(run(engine, text, **own)) == ["5 True True"]


# -- what may be imported ----------------------------------------------------------


def test_every_module_has_its_name_with_a_u_where_the_firmware_has_it(
    engine: str, need_engine: None
) -> None:
    text = "".join(
        f"import {name}, u{name}\nprint({name} is u{name})\n" for name in sorted(ALIASES)
    )
    assert printed(run(engine, text)) == ["True"] * len(ALIASES)


@pytest.mark.parametrize(
    "of_a_computer", ["ast", "typing", "threading", "umath", "_link", "board_os"]
)
def test_what_no_board_has_cannot_be_imported(
    engine: str, need_engine: None, of_a_computer: str
) -> None:
    problem = run(engine, f"import {of_a_computer}").problem
    assert problem is not None
    assert (problem.kind, problem.message) == (
        "ImportError", f"no module named '{of_a_computer}'"
    )  # fmt: skip
    assert problem.hint


def test_each_module_that_has_a_word_on_what_to_use_instead_is_no_boards(
    engine: str, need_engine: None
) -> None:
    tries = "".join(
        f"try:\n    import {name}\n    print('{name}')\nexcept ImportError:\n    pass\n"
        for name in INSTEAD
    )
    assert printed(run(engine, tries)) == []


def test_the_names_that_hints_offer_are_those_that_programs_find() -> None:
    text = "import machine, time, os, json, math\nfrom machine import Pin, PWM\n"
    owners = ("machine", "time", "os", "json", "math", "Pin", "PWM", "str", "list")
    text += "".join(
        f"print('{owner}', *[n for n in {sorted(names_of(owner))} if not hasattr({owner}, n)])\n"
        for owner in owners
    )
    for engine in ENGINES:
        assert printed(run(engine, text)) == list(owners)


def test_a_program_cannot_reach_the_files_behind_the_boards_modules(engine: str) -> None:
    problem = run("cpython", "import os\nos.environ\n").problem
    assert problem is not None and problem.message == "module 'os' has no attribute 'environ'"


# -- the parts of machine that need no part ----------------------------------------


def test_a_signal_is_a_pin_by_its_meaning(engine: str, need_engine: None) -> None:
    text = (
        "from machine import Pin, Signal\n"
        "lamp = Signal(Pin(2, Pin.OUT), invert=True)\n"
        "lamp.on()\n"
        "print(lamp.value(), Pin(2).value())\n"
        "lamp.off()\n"
        "print(lamp(), Pin(2)())\n"
        "plain = Signal(4, Pin.OUT, value=1)\n"
        "print(plain.value())\n"
    )
    assert printed(run(engine, text)) == ["1 0", "0 1", "1"]


def test_clock_and_sleep_of_the_processor(engine: str, need_engine: None) -> None:
    text = (
        "import machine, time\n"
        "print(machine.freq())\n"
        "machine.freq(240000000)\n"
        "print(machine.freq())\n"
        "try:\n"
        "    machine.freq(1)\n"
        "except ValueError as fault:\n"
        "    print(fault)\n"
        "machine.idle()\n"
        "machine.lightsleep(500)\n"
        "print(time.ticks_ms() // 100, len(machine.unique_id()))\n"
    )
    # The message is that of this family's source (read).
    assert printed(run(engine, text)) == [
        "160000000", "240000000", "frequency must be 20MHz, 40MHz, 80Mhz, 160MHz or 240MHz", "5 6",
    ]  # fmt: skip


# -- time ----------------------------------------------------------------------------

EPOCH = 946_684_800
"""2000-01-01 in seconds since 1970 (Python's calendar.timegm)."""


@given(st.integers(-(10**9), 4 * 10**9))
def test_dates_agree_with_the_calendar(seconds: int) -> None:
    # *Source*: Python's own datetime and calendar (run).
    time = _time()
    when = datetime.fromtimestamp(seconds + EPOCH, UTC)
    told = time.gmtime(seconds)
    assert told[:6] == (when.year, when.month, when.day, when.hour, when.minute, when.second)
    assert told[6:] == (when.weekday(), when.timetuple().tm_yday)
    assert time.mktime(told) == calendar.timegm(when.timetuple()) - EPOCH == seconds


def test_a_months_overflow_is_carried_into_the_year() -> None:
    time = _time()
    assert time.mktime((2023, 14, 1, 0, 0, 0)) == time.mktime((2024, 2, 1, 0, 0, 0))


# -- numbers and texts -----------------------------------------------------------------


@pytest.mark.parametrize("engine", ["micropython"])
def test_numbers_are_written_as_the_real_interpreter_writes_them(
    engine: str, need_engine: None
) -> None:
    draw = random.Random(1)
    numbers = [draw.randrange(10**6) / draw.choice((131, 100, 7, 1024)) for _ in range(150)]
    numbers += [draw.uniform(-1, 1) * 10.0 ** draw.randrange(-12, 18) for _ in range(100)]
    numbers += [0.1 + 0.2, 1e16, 1e22, -0.0, 5.0, 1 / 3, float("inf"), float("nan")]
    rows = [f"x = {number!r}".replace("inf", "float('inf')").replace("nan", "float('nan')")
            + "\nprint(x, [x, (x,)], {'x': x}, f'{x} {x!r} {x:.2f}', '%s %.1f' % (x, x), str(x))"
            for number in numbers]  # fmt: skip
    text = "\n".join(rows)
    one, other = (run(name, text, seconds=60.0) for name in ENGINES)
    assert len(printed(one)) == len(numbers)
    apart = [pair for pair in zip(printed(one), printed(other), strict=True) if pair[0] != pair[1]]
    assert not apart


TEXTS = """
import json
value = {"v": [1, 2.5, None, True, "Fähre \\"x\\"\\n"]}
print(json.dumps(value), json.dumps([1, {"a": ()}], separators=(",", ":")))
print(json.loads(json.dumps(value)) == value, json.loads(b"[1e3]"))
print("%5s|%-5s|%05.1f|%x|%%" % ("ab", 1.5, 2.25, 255), "{:>6}|{:<4}|{}".format("a", 3, 0.1 + 0.2))
halves = [k / 8 for k in range(-20, 20)]
print(["%.0f %.1f %.2f" % (x, x, x) for x in halves], [f"{x:.1f}" for x in halves])
print(["{:.2f} {:6.1f}".format(x, x) for x in halves], [round(x, 1) for x in halves])
print([round(x) for x in halves], round(2.675, 2), round(5), round(1234, -2))
print(f"{2.5:.0f} {0.125:.2f}")
print(f"{value['v'][1]!s:>6} {3:03d} {'é'!r} {1.5}", repr("a'b"), [None, b"\\xff", "é", 1 + 2j])
try:
    {}["k"]
except KeyError as fault:
    print(fault, repr(fault), [fault], str(fault.args))
try:
    raise OSError(19)
except OSError as fault:
    print(fault, fault.errno, fault.args[0])
"""


def test_texts_and_json_come_out_alike() -> None:
    one, other = (printed(run(engine, TEXTS)) for engine in ENGINES)
    assert one == other
    assert one[1] == "True [1000.0]"


@pytest.mark.parametrize(
    "text",
    ["x = 1\nmatch x:\n    case 1:\n        pass\n", "y = [*[1], 2]\n", "d = {**{}}\n",
     "def f(a, /, b):\n    pass\n", "try:\n    pass\nexcept* ValueError:\n    pass\n",
     "@(lambda f: f)\ndef f():\n    pass\n", "print('abc'[::-1])\n", "print((1, 2)[::2])\n"],
)  # fmt: skip
def test_what_the_boards_compiler_refuses_is_refused_by_both(text: str) -> None:
    one, other = (run(engine, f"print('first')\n{text}") for engine in ENGINES)
    assert one.problem is not None and one.problem == other.problem
    assert one == other


# -- files of a name that a module of the board has --------------------------------


@pytest.mark.parametrize("module", sorted(names_of("")))
def test_whether_a_file_hides_the_boards_own_module_is_known_beforehand(module: str) -> None:
    asks = f"import {module}\nprint(hasattr({module}, 'MINE'))"
    found = printed(run("cpython", asks, **{module: "MINE = 7\n"}))
    assert bool(hides(f"{module}.py")) is (found == ["True"])
    assert bool(unheard(f"{module}.py")) is (found == ["False"])


@pytest.mark.parametrize(
    ("module", "text"),
    [("time", "import time\ntime.sleep(1)\n"), ("time", "from time import sleep\n"),
     ("machine", "from machine import Pin\n"), ("neopixel", "from neopixel import NeoPixel\n")],
)  # fmt: skip
def test_a_name_that_a_hidden_module_has_is_told_what_hides_it(module: str, text: str) -> None:
    told = run("cpython", text, **{module: "x = 1\n"}).problem
    assert (
        told is not None and f"your own {module}.py hides the board's module {module}" in told.hint
    )
    assert f'remove("{module}.py")' in told.hint


def test_a_name_that_neither_has_is_looked_for_in_ones_own_file() -> None:
    told = run(
        "cpython", "import time\ntime.harbuor()\n", time="def harbour():\n    pass\n"
    ).problem
    assert told is not None and told.hint == "did you mean harbour?"


@pytest.mark.parametrize("package", ["robotsim", "checks", "ipywidgets"])
def test_what_belongs_to_the_notebook_is_no_cell_to_be_run(package: str) -> None:
    told = run("cpython", f"from {package} import run\n").problem
    assert told is not None and "belongs to the notebook" in told.hint
    assert f"%%program {package}.py" not in told.hint
