"""What pins put out: one reader, which lets go what the board lets go, when it does."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import matplotlib.pyplot as plt
import pytest

from checks.readings.arm import trains
from checks.readings.motion import motor_phases, still_driven
from robotsim import PINS, Event, Recording, run_trial
from robotsim.outputs import coming_out, read_outputs
from robotsim.show.facts import drives
from robotsim.show.strips import draw_strips, strips_of
from robotsim.show.waves import pin_wave
from robotsim.units import MS, ns
from tests.robotsim.test_layers import ALL, ROOT

LEFT = PINS["left_ahead"]
ONE_DRIVE = """
import machine, time
from machine import Pin, PWM
if machine.reset_cause() == machine.PWRON_RESET:
    PWM(Pin(18), freq=50, duty_u16=4915)
    time.sleep(0.1)
    for pin in (25, 27):
        PWM(Pin(pin), freq=1000, duty_u16={duty})
    time.sleep(0.6)
    {end}
time.sleep(10)
"""


def reads(*events: Event) -> list[tuple[int, float, float, bool]]:
    told = read_outputs(events)
    return [(o.since_ns, o.signal.duty, o.signal.freq_hz, o.ordered) for o in coming_out(told)]


@pytest.fixture(scope="module", params=["machine.reset()", "brown-out"])
def restarted(request: pytest.FixtureRequest) -> Recording:
    if request.param == "brown-out":
        text = ONE_DRIVE.format(duty=65535, end="pass")
        return run_trial(text, seconds=2.5, charge=0.0)
    return run_trial(ONE_DRIVE.format(duty=40000, end=request.param), seconds=2.5)


def test_after_a_restart_cards_and_pictures_say_what_the_wheels_do(restarted: Recording) -> None:
    (reset,) = restarted.of("reset")
    assert abs(restarted.tracks["left"][-1]) < 1e-3, "the tug stands"
    assert still_driven(restarted) == []
    for side in ("left", "right"):
        assert [p.duty for p in motor_phases(restarted, side) if p.begin >= reset.seconds] == [0.0]
        assert [d.duty for d in drives(restarted, side) if d.begin >= reset.seconds] == [0.0]
    assert restarted.pwm_at(LEFT, 2.0) == (0.0, 0.0)
    assert not trains(restarted)[-1].heard, "the arm's pin is silent too"
    wave = pin_wave(restarted, LEFT, reset.time_ns + MS, ns(2.4))
    assert wave is not None and wave.edges == ((reset.time_ns + MS, 0),)


def test_the_strip_of_a_motor_is_at_nothing_after_a_restart(restarted: Recording) -> None:
    (reset,) = restarted.of("reset")
    figure = plt.figure(figsize=(8, 6))
    axes = draw_strips(figure, restarted, strips_of(restarted), (0.6, 0.1, 6, 5))
    (strip,) = [a for a in axes if str(a.get_label()).startswith("left motor")]
    (line,) = [line for line in strip.lines if line.get_gid() == "duty"]
    drawn = dict(zip(line.get_xdata(), line.get_ydata(), strict=True))
    plt.close(figure)
    assert {duty for t, duty in drawn.items() if t >= reset.seconds} == {0.0}
    assert any(d.duty for d in drives(restarted, "left") if d.begin < reset.seconds)


def test_a_program_that_ends_leaves_its_pins_as_they_were() -> None:
    told = run_trial("from machine import PWM, Pin\nPWM(Pin(25), freq=1000, duty_u16=30000)\n",
                     seconds=1.0)  # fmt: skip
    assert told.ended == "finished" and told.tracks["left"][-1] > 0.1
    assert told.pwm_at(LEFT, 1.0) == (30000 / 65536, 1000.0)
    assert still_driven(told) == ["left"]


def test_a_new_duty_comes_out_with_the_next_pulse_and_a_new_frequency_at_once() -> None:
    assert reads(
        Event(0, "pwm", (4, 50, 3277)), Event(30 * MS, "pwm", (4, 50, 6554)),
        Event(45 * MS, "pwm", (4, 100, 6554)),
    ) == [
        (0, 3277 / 65536, 50.0, True), (40 * MS, 6554 / 65536, 50.0, True),
        (45 * MS, 6554 / 65536, 100.0, True),
    ]  # fmt: skip


def test_what_was_to_come_out_after_a_restart_never_does() -> None:
    seen = reads(
        Event(0, "pwm", (4, 1, 0)), Event(10 * MS, "pwm", (4, 1, 65535)),
        Event(20 * MS, "reset", ("machine.reset()",)),
    )  # fmt: skip
    assert seen == [(0, 0.0, 1.0, True), (20 * MS, 0.0, 0.0, False)]


def test_the_world_and_the_reader_agree_on_when_a_pulse_train_made_anew_begins() -> None:
    text = (
        "import time\nfrom machine import PWM, Pin\n"
        "PWM(Pin(25), freq=1, duty_u16=0)\ntime.sleep(0.3)\n"
        "PWM(Pin(25), freq=1, duty_u16=65535)\ntime.sleep(2)\n"
    )
    told = run_trial(text, seconds=2.0)
    began = next(t for t, v in zip(told.tracks["t"], told.tracks["left"], strict=True) if v)
    (since,) = [o.since_ns / 1e9 for o in told.comes_out(LEFT) if o.duty_u16]
    assert since == 1.0 and since < began <= since + 0.021


# -- one reader ----------------------------------------------------------------

WRITERS = {"robotsim/outputs.py", "robotsim/board/pins.py", "robotsim/recording.py",
           "robotsim/saved.py"}  # fmt: skip
"""Who writes such events down, lists their names, or is the reader."""
IN_WORDS = "robotsim/show/pack.py"
"""It puts each single event into words, in the order in which the program did things."""


def strings(node: ast.AST) -> set[str]:
    return {n.value for n in ast.walk(node) if isinstance(n, ast.Constant) and n.value in KINDS}


KINDS = ("pwm", "pin")


def readings_of_pins(tree: ast.AST) -> Iterator[int]:
    """Give the lines that ask for the events of pins, or look whether an event is one of them."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "of":
            if any(strings(argument) for argument in node.args):
                yield node.lineno
        elif isinstance(node, ast.Compare) and "kind" in ast.unparse(node) and strings(node):
            yield node.lineno


def test_nobody_else_makes_signals_of_the_events_of_pins() -> None:
    found = [
        f"{name}:{line}"
        for path in ALL
        if (name := path.relative_to(ROOT).as_posix()) not in {*WRITERS, IN_WORDS}
        for line in readings_of_pins(ast.parse(Path(path).read_text(encoding="utf-8")))
    ]
    assert not found, f"ask recording.outputs() instead: {found}"


@pytest.mark.parametrize(
    "line", ['r.of("pwm")', 'r.of("mode", "pin", pin=3)', 'e.kind == "pin"', 'kind in ("pwm", "a")']
)
def test_such_a_reading_would_be_found(line: str) -> None:
    assert list(readings_of_pins(ast.parse(line))) == [1]
