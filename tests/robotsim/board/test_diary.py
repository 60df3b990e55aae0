"""How busy the processor was: what is no rest is work, and every nanosecond has its place."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import run_trial
from robotsim.board.diary import Diary, busy_shares
from robotsim.show.strips import strips_of
from robotsim.units import MS

LOOP = """
import time
from machine import ADC, Pin
eye = ADC(Pin(36), atten=ADC.ATTN_11DB)
while True:
    eye.read()
    {talk}
    time.sleep_ms({sleep})
"""


def busy(text: str, seconds: float = 2.0) -> tuple[float, ...]:
    return run_trial(text, seconds=seconds).tracks["busy"]


def test_a_loop_that_sleeps_is_hardly_busy_and_one_that_does_not_always() -> None:
    sleepy = busy(LOOP.format(talk="pass", sleep=20))
    assert 0.001 < statistics.fmean(sleepy[10:]) < 0.02
    restless = busy("from machine import Pin\nled = Pin(2, Pin.OUT)\nwhile True:\n    led.on()\n")
    assert restless[0] == 0.0 and set(restless[2:]) == {1.0}


def test_a_print_in_each_round_costs_ten_bits_a_character_at_the_console_s_speed() -> None:
    # 115200 baud, ten bits a character: MicroPython quick reference (read).
    talk = 'print("' + 98 * "." + '")'
    plain, wordy = (busy(LOOP.format(talk=t, sleep=10)) for t in ("pass", talk))
    shares = [statistics.fmean(b[10:]) for b in (plain, wordy)]
    rounds = [10.0 / (1.0 - share) for share in shares]
    assert rounds[1] - rounds[0] == pytest.approx(100 * 10 / 115.2, abs=0.15)


def test_when_a_program_has_ended_or_waits_for_its_board_to_start_nothing_is_busy() -> None:
    ended = busy("x = 0\nfor k in range(20000):\n    x += k\n", seconds=2.0)
    assert max(ended) == 1.0 and ended[-1] == 0.0
    anew = busy("import machine\nx = 0\nfor k in range(20000):\n    x += k\nmachine.reset()\n")
    assert 0.0 in anew[anew.index(1.0) :] and max(anew) == 1.0


def test_a_sleep_in_which_callbacks_run_is_rest_but_for_them() -> None:
    text = (
        "import time\nfrom machine import Timer\n"
        "def work(timer):\n    for k in range(200):\n        k * k\n"
        "Timer(0, period=100, callback=work)\ntime.sleep(5)\n"
    )
    track = busy(text)
    assert 0.005 < statistics.fmean(track[10:]) < 0.10
    assert sum(share > 0.05 for share in track) <= 2 * 20 + 2


@given(
    st.lists(st.tuples(st.integers(0, 80), st.integers(0, 30)), max_size=12),
    st.integers(0, 100), st.integers(0, 30),
)  # fmt: skip
def test_rest_and_work_make_up_all_the_time(
    steps: list[tuple[int, int]], start: int, tail: int
) -> None:
    diary, now = Diary(start * MS), start * MS
    for work, rest in steps:
        now += work * MS
        diary.rest(now, now + rest * MS)
        now += rest * MS
    end = now + tail * MS
    shares = busy_shares(diary.busy(end), 10 * MS, end // (10 * MS) + 2)
    worked = sum(work for work, _ in steps) + tail
    assert sum(shares) * 10 == pytest.approx(worked, abs=0.01)
    assert all(0.0 <= share <= 1.0 for share in shares)


def test_the_strip_of_the_processor_is_there_when_asked_for() -> None:
    told = run_trial(LOOP.format(talk="pass", sleep=20), seconds=0.5)
    names = [[s.name for s in strips_of(told, processor=asked)] for asked in (False, True)]
    assert names[1] == [*names[0], "processor, busy in %"]
