"""The line that was running: told on demand, true, and without any effect on what happens."""

from __future__ import annotations

import dataclasses

import pytest

from robotsim.recording import Recording
from robotsim.trial import run_trial, with_lines

ROUND = """\
from machine import ADC, PWM, Pin, Timer
import helper, time
eyes = [ADC(Pin(n)) for n in (36, 39, 34, 35)]
def tick(timer):
    print("tick")
Timer(0, period=300, callback=tick)
while True:
    read = [eye.read() for eye in eyes]
    helper.rest()
"""
FILES = {"main.py": ROUND, "helper.py": "import time\ndef rest():\n    time.sleep(0.2)\n"}


NESTED = """\
from machine import ADC, Pin
import asyncio, time
eye, led = ADC(Pin(36)), Pin(4, Pin.OUT)
def read():
    n = 0
    for k in range(2):
        n += eye.read()
    return n
async def blink():
    led.value(len([1 for k in range(3) if k < read()]) > 3)
    return read()
async def main():
    print(f"{read()}", await blink(), *sorted([read(), 2]), (lambda: read())())
while read() < 9000 and time.ticks_ms() < 300:
    print(
        round(read() / 2),
    )
    time.sleep(0.1)
asyncio.run(main())
"""
"""Calls within calls: after each one the line is that of the statement again."""


def line_at(recording: Recording, seconds: float) -> tuple[str, int]:
    return [(file, line) for at, file, line in recording.lines if at <= seconds * 1e9][-1]


def test_a_sleep_and_a_callback_are_told_where_they_stand_and_the_sleep_again_after_it() -> None:
    made = run_trial(FILES, seconds=1.0, lines=True)
    assert line_at(made, 0.1) == ("helper.py", 3)
    (tick,) = [at / 1e9 for at, file, line in made.lines if line == 5 and at < 0.5e9]
    assert 0.3 < tick < 0.31, "after its import and its first lines"
    assert line_at(made, tick + 0.01) == ("helper.py", 3)
    assert {line for _, file, line in made.lines if file == "main.py"} == {3, 5, 6, 8}


def test_to_be_followed_changes_nothing_and_costs_nothing_where_nobody_asks() -> None:
    plain, told = run_trial(FILES, seconds=1.0), run_trial(FILES, seconds=1.0, lines=True)
    assert plain == told and plain.lines == ()
    assert with_lines(plain).lines == told.lines
    assert Recording.from_bytes(told.to_bytes()).lines == told.lines


def test_a_run_with_a_day_and_a_charge_of_its_own_is_followed_as_it_was() -> None:
    ahead = "from machine import Pin\nimport time\nfor n in (25, 27):\n    Pin(n, Pin.OUT).on()\n"
    made = run_trial(ahead + "time.sleep(9)\n", serial=7, seconds=1.5, day="another", charge=0.4)
    again = with_lines(made)
    assert again.lines and again.tracks == made.tracks
    usual = run_trial(ahead + "time.sleep(9)\n", serial=7, seconds=1.5)
    assert usual.tracks != made.tracks


def test_a_trial_that_does_not_do_the_same_again_stays_as_it_was() -> None:
    weak = run_trial(FILES, seconds=0.5, charge=0.5)
    assert with_lines(weak).lines
    moved = dataclasses.replace(weak, events=weak.events[1:])
    assert with_lines(moved) is moved


def test_a_program_that_fails_is_told_to_its_last_line_and_a_restart_goes_on() -> None:
    failing = "import time\ntime.sleep(0.1)\nprint(1)\n1 / 0\n"
    made = run_trial(failing, seconds=0.5, lines=True)
    assert made.problem is not None and made.lines[-1][2] == 3
    again = run_trial("import machine, time\ntime.sleep(0.2)\nmachine.reset()\n", seconds=1.5,
                      lines=True)  # fmt: skip
    assert [line for _, _, line in again.lines[:4]] == [2, 3, 2, 3]
    assert sorted(again.lines) == list(again.lines)


def test_lines_that_a_program_makes_up_are_left_out() -> None:
    faked = "import sys\nlink = sys.modules['_link']\nlink._waiting.append('l 99 7')\nprint(1)\n"
    assert all(file == "main.py" for _, file, _ in run_trial(faked, seconds=0.2, lines=True).lines)


@pytest.mark.parametrize("engine", ["micropython"])
@pytest.mark.parametrize("files", [FILES, {"main.py": NESTED}])
def test_the_real_interpreter_which_does_not_know_its_lines_is_followed_alike(
    files: dict[str, str], engine: str, need_engine: None
) -> None:
    usual, real = (run_trial(files, seconds=1.0, lines=True, engine=each)
                   for each in ("cpython", engine))  # fmt: skip
    assert real.lines == usual.lines and len(usual.lines) > 15
    plain = run_trial(files, seconds=1.0, engine=engine)
    assert plain.events == real.events and with_lines(plain).lines == usual.lines
