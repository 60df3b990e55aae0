"""Ticks, pulses, timers and pins as a program sees them, against MicroPython's documentation.

*Source*: MicroPython documentation and source for this family of boards (R = read): ticks count
modulo 2^30, differences lie in [-2^29, 2^29 - 1]; `time_pulse_us` gives -2 when the level did not
come, -1 when it did not end, after 1 s unless told otherwise; timers 0 to 3, with callbacks that
may do what any code may ("soft"); a pin's handler is given the pin, at both edges unless told
otherwise; pins 34 to 39 only listen.
"""

from __future__ import annotations

import pytest

from robotsim import run_trial
from robotsim.board.engines import ENGINES
from tests.published.table import Tell

SOURCE = "MicroPython documentation and source (R)"
PROGRAM = """
import time
from machine import Pin, Timer, time_pulse_us

def tell(call):
    try:
        call()
        return "works"
    except ValueError:
        return "ValueError"

print(time.ticks_add(0, -1) + 1)
print(time.ticks_diff(2**29, 0), time.ticks_diff(2**29 - 1, 0))
pin = Pin(19, Pin.IN, Pin.PULL_UP)
print(time_pulse_us(pin, 0, 1000), time_pulse_us(pin, 1, 1000))
start = time.ticks_us()
time_pulse_us(pin, 0)
print(time.ticks_diff(time.ticks_us(), start) // 1000)
print([n for n in range(-1, 6) if tell(lambda: Timer(n, period=9, callback=print)) == "works"])
for n in range(4):
    Timer(n).deinit()
heard = []
timer = Timer(2)
timer.init(mode=Timer.ONE_SHOT, period=20, callback=lambda given: heard.append((given, [0] * 99)))
time.sleep(0.1)
print([given is timer for given, _ in heard])
print([n for n in range(32, 40) if tell(lambda: Pin(n, Pin.OUT)) == "ValueError"])
"""
PUBLISHED = {
    "ticks count modulo": str(2**30),
    "ticks_diff from, to": f"{-(2**29)} {2**29 - 1}",
    "time_pulse_us: level does not come, does not end": "-2 -1",
    "time_pulse_us gives up after, ms": "1000",
    "timers": "[0, 1, 2, 3]",
    "a callback, which may use memory, is given its timer": "[True]",
    "pins of 32 to 39 that cannot put out": "[34, 35, 36, 37, 38, 39]",
}
KNOCK = """
import time
from machine import PWM, Pin

seen = []
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
bumper.irq(lambda pin: seen.append((pin is bumper, pin.value())))
wheels = [PWM(Pin(n), freq=1000, duty=700) for n in (25, 27)]
time.sleep(1)
print(all(same for same, _ in seen))
print(sorted({level for _, level in seen}))
"""


@pytest.mark.parametrize("engine", ENGINES)
def test_a_program_finds_what_is_documented(engine: str, need_engine: None, tell: Tell) -> None:
    """Also under the real interpreter, whose own ticks on this computer count to 2^62."""
    told = run_trial(PROGRAM, seconds=2.0, engine=engine)
    assert told.problem is None, told.problem
    printed = [line for _, line in told.printed]
    for (what, published), ours in zip(PUBLISHED.items(), printed, strict=True):
        assert tell(what, published, ours, SOURCE) == published


def test_a_pins_handler_is_given_the_pin_at_both_edges(tell: Tell) -> None:
    """The tug runs into a wall, and the bumper bounces."""
    told = run_trial(KNOCK, seconds=1.5, start=(1.08, 0.4, 0.0))
    given, levels = (line for _, line in told.printed)
    assert tell("a pin's handler is given its pin", "True", given, SOURCE) == "True"
    assert tell("at levels, unless told otherwise", "[0, 1]", levels, SOURCE) == "[0, 1]"
