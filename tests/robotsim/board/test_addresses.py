"""What prints its address prints the same one every time: the same seed, the same bytes."""

from __future__ import annotations

import pytest

from robotsim import run_trial
from robotsim.board.engines import ENGINES

TEXT = """
from machine import ADC, I2C, PWM, Pin, Timer
import asyncio, gc, neopixel, time
class Eye:
    def __init__(self, n=0):
        self.n = n
    def look(self):
        return self.n
class Told(Eye):
    def __str__(self):
        return "told"
def gen():
    yield 1
eyes = [Eye(k) for k in range(5)]
print(eyes, eyes[2], (eyes[0],), {"a": eyes[1]}, str(eyes[0]), "%s" % eyes[3], f"{eyes[4]}")
print(Told(), [Told()], Eye(), Eye, [Eye], eyes[0].look, Eye.look, gen(), gen, lambda: 0)
print("{}".format(Eye()), repr(Eye()), id(eyes[0]) == id(eyes[0]), id(eyes[1]), id("word"))
for k in range(30):
    Eye(k)
gc.collect()
print(Eye(), object(), neopixel.NeoPixel(Pin(13), 5))
async def main():
    pass
job = main()
print(ADC(Pin(36)), Timer(0), PWM(Pin(25)), Pin(4), print, len, [].append, job)
tick = Timer(1, period=50, callback=lambda t: print(t))
time.sleep_ms(120)
tick.deinit()
try:
    raise ValueError(eyes[0])
except ValueError as fault:
    print(fault, [fault])
"""


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


def printed(engine: str) -> list[str]:
    recording = run_trial(TEXT, seconds=2.0, engine=engine)
    assert recording.ended == "finished", recording.problem
    return [line for _, line in recording.printed]


def test_two_runs_print_the_same_addresses(engine: str, need_engine: None) -> None:
    assert printed(engine) == printed(engine)


@pytest.mark.parametrize("engine", ["micropython"])
def test_both_engines_print_the_same(engine: str, need_engine: None) -> None:
    assert printed("cpython") == printed(engine)


def test_a_part_of_the_board_tells_what_it_is() -> None:
    # *Source*: the public source of this family's port (read): ADC(Pin(n)), and
    # Timer(n, mode=..., period=...) with the period in ms.
    told = printed("cpython")
    assert "ADC(Pin(36))" in told[4] and "Timer(0, mode=ONE_SHOT, period=0)" in told[4]
    assert told[5:7] == ["Timer(1, mode=PERIODIC, period=50)"] * 2
