"""The board as a function: a program that calls it in this very thread is no other program."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

import pytest

from robotsim import KitError, UnknownNameError, Whose, run_trial
from robotsim.board.direct import plug_in
from robotsim.board.engines import USUAL
from robotsim.board.link import Link

PROGRAM = """
from machine import Timer, Pin, PWM, reset
import time
rounds = []
Timer(0).init(period=30, callback=lambda t: rounds.append(time.ticks_ms()))
motor = PWM(Pin(25), freq=1000)
motor.duty_u16(40000)
time.sleep_ms(200)
print(rounds)
if rounds[-1] < 1000:
    reset()
"""
BAD = "import time\nprint('ahoy')\ntime.sleep(1)\nnobody\n"
LOST = "import time\nn = 0\nwhile True:\n    n += 1\n"
Exchange = Callable[[str], str]


@pytest.fixture
def plugged() -> Iterator[Callable[[Callable[[str, Exchange], None]], None]]:
    """Plug an interpreter in for one test."""
    yield plug_in
    plug_in(None)


def over_a_pipe(order: str, exchange: Exchange) -> None:
    """Run a program as a direct interpreter would: all that it says at once goes in one call."""
    asked = json.loads(order)
    with Link(
        asked["files"], asked["program"], "cpython", seed=asked["seed"], whose=Whose.KIT,
        flash={n: t.encode() for n, t in asked["files"].items()}, cause=asked["cause"],
    ) as link:  # fmt: skip
        gathered = [link.next()]
        while gathered[-1]:
            op = gathered[-1].split(b" ")[gathered[-1][:1] == b"+"]
            if op.isupper() or op in (b".", b"q", b"x") or len(gathered) > 60:
                for line in exchange(b"\n".join([*gathered, b""]).decode()).splitlines():
                    link.reply(line.encode())
                gathered = []
            gathered.append(link.next())


@pytest.mark.parametrize("text", [PROGRAM, BAD, LOST], ids=["callbacks and reset", "bad", "lost"])
def test_a_direct_call_leaves_the_recording_of_a_pipe(text: str, plugged: Callable) -> None:
    options = {"seconds": 1.5, "serial": 3, "whose": Whose.KIT, "engine": USUAL}
    one = run_trial(text, **options)
    plugged(over_a_pipe)
    assert run_trial(text, **options) == one
    assert len(one.events) > (0 if text is LOST else 2)


def test_whatever_a_program_catches_it_is_over_when_its_trial_is(plugged: Callable) -> None:
    tries = []

    def deaf(order: str, exchange: Exchange) -> None:
        for _ in range(5):
            try:
                exchange("s 900000\n")
            except BaseException as end:
                tries.append(type(end).__name__)

    plugged(deaf)
    made = run_trial("", seconds=2.0, whose=Whose.KIT)
    assert made.ended == "time is up" and tries == ["TimeUp"] * 3
    assert len([*made.of("sleep")]) == 3


def test_an_interpreter_that_breaks_is_told_as_a_process_that_is_gone(plugged: Callable) -> None:
    plugged(lambda order, exchange: None)
    made = run_trial("", seconds=1.0, whose=Whose.KIT)
    assert made.problem and "ended without a word" in made.problem.message
    assert len(made.tracks["x"]) == 101, "the tug stands there until the time is over"


def test_another_engine_is_refused_where_there_is_but_one(plugged: Callable) -> None:
    plugged(lambda order, exchange: None)
    with pytest.raises(UnknownNameError, match="no engine in a browser"):
        run_trial("", engine="micropython", whose=Whose.KIT)
    assert issubclass(UnknownNameError, KitError)
