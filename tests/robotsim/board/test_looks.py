"""Looks at the clock that need not ask: nothing that happens is another for them."""

from __future__ import annotations

import pytest

from robotsim import Recording, run_trial
from robotsim.board import costs
from robotsim.units import US

HEAD = "import time\nfrom machine import ADC, PWM, Pin, Timer\n"
PROGRAMS = {
    "waits": "begun = time.ticks_ms()\nwhile time.ticks_diff(time.ticks_ms(), begun) < 700:\n"
    "    pass\nprint('done', time.ticks_us())\n",
    "for ever": "while True:\n    time.ticks_us()\n",
    "between other things": "eye, lamp = ADC(Pin(36)), Pin(25, Pin.OUT)\nfor k in range(300):\n"
    "    for _ in range(k):\n        time.ticks_us()\n    print(eye.read(), time.ticks_us())\n"
    "    lamp.value(k & 1)\n    eye.read(), eye.read()\n",
    "a callback comes": "told = []\nTimer(0, mode=Timer.PERIODIC, period=50,"
    " callback=lambda t: told.append(time.ticks_us()))\n"
    "while time.ticks_ms() < 400:\n    pass\nprint(told)\n",
    "an exception": "for _ in range(50):\n    time.ticks_us()\n1 / 0\n",
}


def made(text: str, *, lines: bool) -> Recording:
    # Where the running line is told, the board allows no looks ahead.
    return run_trial(HEAD + text, seconds=1.0, lines=lines)


@pytest.mark.parametrize("text", PROGRAMS.values(), ids=PROGRAMS)
def test_looks_that_do_not_ask_change_nothing_that_happens(text: str) -> None:
    quick = made(text, lines=False)
    assert quick == made(text, lines=True)
    assert quick.events


def test_each_look_takes_its_time() -> None:
    looks = ", ".join(["time.ticks_us()"] * 40)  # within one statement nothing else is counted
    recording = made(f"seen = [{looks}]\nprint(seen[-1] - seen[0])\n", lines=False)
    assert recording.printed[0][1] == str(39 * costs.TICKS // US)
