"""Pins that call back, and pulses measured: found at their time, however the program waits."""

from __future__ import annotations

import pytest

from robotsim import run_trial
from robotsim.board import costs
from robotsim.board.engines import ENGINES
from robotsim.parts.bumper import BOUNCE_S
from robotsim.units import MS, SECOND, US
from tests.robotsim.board.fakes import FakeWorld, answers, serve

PRESSED_AT, LET_GO_AT = 30 * MS, 70 * MS


class Switch(FakeWorld):
    """A world with a clean switch to ground on pin 19."""

    def level(self, pin: int, time_ns: int) -> int | None:
        return 0 if pin == 19 and PRESSED_AT <= time_ns < LET_GO_AT else None

    def __init__(self) -> None:
        super().__init__()
        self.now_ns = 0

    def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
        for change in (PRESSED_AT, LET_GO_AT):
            if 19 in pins and self.now_ns < change <= until_ns:
                self.now_ns = change
                return change
        self.now_ns = max(self.now_ns, until_ns)
        return None


def calls(lines: list[bytes], limit_ns: int = SECOND) -> list[tuple[float, int]]:
    board, _, _ = serve([b"m 19 in up", *lines, b"q"], Switch(), limit_ns=limit_ns)
    return [(e.time_ns / MS, e.number) for e in board.events if e.kind == "call"]


@pytest.mark.parametrize(("trigger", "expected"), [(1, [70]), (2, [30]), (3, [30, 70]), (0, [])])
def test_a_pin_calls_when_it_rises_falls_or_either_at_its_own_time(
    trigger: int, expected: list[float]
) -> None:
    found = calls([b"i 19 %d" % trigger, b"S 200000"])
    assert found == [(pytest.approx(ms, abs=0.001), 19) for ms in expected]


def test_a_change_while_the_program_works_calls_at_its_next_message() -> None:
    found = calls([b"i 19 2", b"s 40000", b"T", b"S 5000"])
    assert found == [(pytest.approx(40.112, abs=0.01), 19)]


def test_changes_wait_in_a_queue_of_eight() -> None:
    # MICROPY_SCHEDULER_DEPTH is 8 in the settings of this family's firmware (read).
    assert [number for _, number in calls([b"i 19 3", b"s 100000", b"T", b"S 5000"])] == [19, 19]

    class Shaky(Switch):
        def level(self, pin: int, time_ns: int) -> int | None:
            return 0 if time_ns // MS % 2 else None

        def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
            following = (self.now_ns // MS + 1) * MS
            self.now_ns = min(following, until_ns)
            return following if following <= until_ns else None

    board, _, _ = serve([b"m 19 in up", b"i 19 3", b"s 100000", b"T", b"q"], Shaky())
    assert sum(e.kind == "call" for e in board.events) == 8


def test_a_pin_calls_no_more_when_told_so() -> None:
    assert calls([b"i 19 3", b"S 50000", b"i 19 0", b"S 100000"]) == [
        (pytest.approx(30, abs=0.001), 19)
    ]


def test_a_doze_ends_with_the_first_callback() -> None:
    board, door, _ = serve([b"m 19 in up", b"i 19 2", b"H 200000", b"T", b"q"], Switch())
    assert [reply[:1] for reply in door.replies] == [b">", b"=", b"="]
    assert int(door.replies[-1][1:]) == pytest.approx(30_000, abs=100)
    board, _, _ = serve([b"H 1000", b"q"])
    assert board.now_ns == 1000 * US + costs.TICKS


def test_a_pulse_is_measured_from_its_beginning_to_its_end() -> None:
    up = b"m 19 in up"
    assert answers(up, b"W 19 0 100000", world=Switch()) == [b"=40000"]
    assert answers(up, b"W 19 0 10000", world=Switch()) == [b"=-2"]  # it does not come in time
    assert answers(up, b"W 19 0 35000", world=Switch()) == [b"=-1"]  # it does not end in time
    assert answers(up, b"W 19 1 100000", world=Switch())[0] == b"=%d" % (30_000 - 54)


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


BUMP = """
import time
from machine import PWM, Pin
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
times = []
bumper.irq(lambda pin: times.append((time.ticks_us(), pin.value())), {trigger})
for pin in (25, 27):
    PWM(Pin(pin), freq=1000, duty=600)
time.sleep(3)
print(times[0][0], len(times), [level for _, level in times], times[-1][0] - times[0][0])
"""


def test_the_real_bumper_calls_when_the_tug_meets_the_wall_and_bounces(
    engine: str, need_engine: None
) -> None:
    start = (1.0, 0.4, 0.0)
    recording = run_trial(
        BUMP.format(trigger="Pin.IRQ_FALLING"), seconds=4.0, start=start, engine=engine
    )
    touch = next(e for e in recording.of("touch") if e.what == "wall")
    calls = [e.time_ns for e in recording.of("call")]
    assert abs(calls[0] - touch.time_ns) <= 2 * MS
    first = [t for t in calls if t - calls[0] < 1.5 * BOUNCE_S[1] * SECOND]
    assert len(first) >= 2, "a switch bounces: without debouncing it counts too often"


def test_other_things_go_on_as_without_a_watched_pin() -> None:
    plain, watched = (
        run_trial(BUMP.format(trigger=trigger).replace("bumper.irq", call), seconds=2.0)
        for trigger, call in (("3", "(lambda *_: None)"), ("3", "bumper.irq"))
    )
    assert watched.end == pytest.approx(plain.end, abs=1e-4)


def test_callbacks_that_are_held_back_come_afterwards(engine: str, need_engine: None) -> None:
    text = (
        "import machine, time\n"
        "heard = []\n"
        "machine.Timer(0, period=10, callback=lambda t: heard.append(time.ticks_ms()))\n"
        "state = machine.disable_irq()\n"
        "time.sleep_ms(55)\n"
        "print(len(heard))\n"
        "machine.enable_irq(state)\n"
        "print(len(heard))\n"
        "time.sleep_ms(20)\n"
        "print(len(heard) > 1)\n"
        "import sys\n"
        "sys.exit()\n"
    )
    recording = run_trial(text, seconds=1.0, engine=engine)
    assert [line for _, line in recording.printed] == ["0", "1", "True"]


def test_what_a_callback_schedules_runs_right_after_it(engine: str, need_engine: None) -> None:
    text = (
        "import machine, micropython, time\n"
        "def late(n):\n"
        "    print('late', n, time.ticks_ms())\n"
        "def call(timer):\n"
        "    micropython.schedule(late, 7)\n"
        "    print('call', time.ticks_ms())\n"
        "machine.Timer(0, mode=machine.Timer.ONE_SHOT, period=100, callback=call)\n"
        "time.sleep(1)\n"
        "micropython.schedule(late, 8)\n"
        "time.sleep_ms(1)\n"
        "print('end')\n"
    )
    recording = run_trial(text, seconds=2.0, engine=engine)
    assert [line.rpartition(" ")[0] for _, line in recording.printed] == [
        "call", "late 7", "late 8", "",
    ]  # fmt: skip
