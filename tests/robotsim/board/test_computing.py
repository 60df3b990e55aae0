"""Computing takes time: counted the same everywhere, on the lines that the learner wrote."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from robotsim import Recording, run_trial
from robotsim.board.computing import COUNTER, FREE, counting, place
from robotsim.board.engines import ENGINES

PROGRAMS = sorted(Path(__file__).parents[2].joinpath("programs").rglob("right_*.py"))
ODD = '''"""text"""
import time
def f(a):
    "text"
    global z; z = a / 2
    return [x * 2 for x in range(a) if x > 1]
class A:
    x = 1
    def g(self): return lambda y: y + 1
for i in 1, 2:
    while i: i -= 1
    if i > 3: pass
    elif (k := i) and z: x = 1; y = 2
    else: break
try: f(3)
except ValueError as e: pass
finally:
    with open("f") as g: g.read()
'''


def counted(text: str) -> list[tuple[int, int]]:
    """Give what is counted and where: (microseconds, line)."""
    found = re.findall(rf"{COUNTER}\((\d+),\d+,(\d+)\)", counting(text))
    return [(int(us), int(line)) for us, line in found]


@pytest.mark.parametrize("text", [ODD, *(p.read_text("utf-8") for p in PROGRAMS[::8])])
def test_lines_stay_where_they_are_and_say_which_they_are(text: str) -> None:
    rows = counting(text).split("\n")
    assert len(rows) == len(text.split("\n"))
    for number, row in enumerate(rows, 1):
        assert {int(line) for line in re.findall(rf"{COUNTER}\(\d+,\d+,(\d+)\)", row)} <= {number}
    bare = re.sub(rf"{COUNTER}\(\d+,\d+,\d+\)(;| or )", "", "\n".join(rows))
    assert bare == text and ast.parse("\n".join(rows))


def test_what_is_no_python_comes_back_as_it_is() -> None:
    assert counting("while True\n") == "while True\n" and counting("\0") == "\0"


def test_a_simple_statement_takes_about_ten_us_and_a_call_or_a_float_more() -> None:
    # From memory, marked so in the module: about 10 us a simple statement.
    (simple, _), (call, _), (real, _) = (counted(t)[0] for t in ("x = y + 1", "f(1)", "x = y / 2"))
    assert 5 <= simple <= 15 and call > simple and real > simple


def test_what_the_kit_puts_in_is_free() -> None:
    text = f"def {FREE}cut(x):\n    return x\ny = {FREE}cut(1 + 2)\n"
    assert counted(text) == counted("\n\ny = 1 + 2\n")


def test_a_place_names_file_and_line() -> None:
    files = {"a.py": "x = 1\n", "b.py": "\ny = 2\n"}
    number = int(re.findall(r",(\d+)\)", counting(files["b.py"], 1.0, 1))[0])
    assert place(files, number) == ("b.py", 2)
    assert place(files, 0) == place(files, 7_000_001) == place(files, -5) == ("", 0)


def made(text: str, engine: str = "cpython", seconds: float = 3.0) -> Recording:
    return run_trial(text, seconds=seconds, engine=engine)


@pytest.mark.parametrize("engine", list(ENGINES))
def test_an_endless_loop_ends_with_the_trials_time_and_its_line(
    engine: str, need_engine: None
) -> None:
    told = made("n = 0\nwhile True:\n    n += 1\n", engine)
    assert told.ended == "time is up" and told.problem is not None
    assert told.problem.line == 3 and "without touching the board" in told.problem.message


def test_a_loop_that_takes_very_long_is_ended_before() -> None:
    told = made("while True:\n    [x * x for x in range(5000)]\n", seconds=60.0)
    assert told.ended == "stopped" and 20 < told.ended_ns / 1e9 < 21


@pytest.mark.parametrize("engine", list(ENGINES))
def test_four_eyes_and_a_derivative_go_round_as_often_as_on_a_board(
    engine: str, need_engine: None
) -> None:
    text = (
        "from machine import ADC, Pin\nimport time\n"
        "eyes = [ADC(Pin(n)) for n in (36, 39, 34, 35)]\nlast = n = 0\nt = time.ticks_ms()\n"
        "while time.ticks_diff(time.ticks_ms(), t) < 1000:\n"
        "    seen = [eye.read() for eye in eyes]\n"
        "    now = sum(k * v for k, v in enumerate(seen)) / (sum(seen) or 1)\n"
        "    steer, last = 0.4 * now + 0.1 * (now - last), now\n    n += 1\nprint(n)\n"
    )
    # Common practice, no source: such loops reach one to two thousand rounds a second.
    assert 1000 < int(made(text, engine).printed[0][1]) < 2200


@pytest.mark.parametrize("engine", list(ENGINES))
def test_a_timer_waits_for_the_statement_that_runs(engine: str, need_engine: None) -> None:
    text = (
        "from machine import Timer\nimport time\nseen = []\n"
        "Timer(0, period=10, callback=lambda t: seen.append(time.ticks_us()))\n"
        "while len(seen) < 50:\n    [x / 3 for x in range(40)]\n"
        "print(max(seen[k + 1] - seen[k] for k in range(49)) - 10000)\n"
    )
    late = int(made(text, engine).printed[0][1])
    assert 20 < late < 6000, "some jitter, and no more than a statement and a collection"
