"""A made-up class: six invented learners and what each of them handed in.

Their programs are the lessons' own solutions or the small variants below.  Nothing here says what
anything scores.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["CLASS", "ENDLESS", "TYPICAL", "Learner"]

ENDLESS = "while True:\n    pass\n"
"""Never ends and never touches the board."""

_MOTORS = """\
from machine import Pin, PWM
import time

la, lb, ra, rb = (PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14))


def drive(left, right, seconds):
    lb.duty_u16(int(65535 * (1 - left)))
    rb.duty_u16(int(65535 * (1 - right)))
    la.duty_u16(65535)
    ra.duty_u16(65535)
    time.sleep(seconds)


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


"""

TYPICAL = {
    # Red and green have changed places.
    "lamps.side": """\
import neopixel
from machine import Pin

np = neopixel.NeoPixel(Pin(13), 5)
for lamp, (red, green, blue) in enumerate(
    [(100, 0, 0), (0, 100, 0), (100, 100, 100), (100, 100, 100), (100, 40, 0)]
):
    np[lamp] = (green, red, blue)
np.write()
""",
    # Even in the numbers, so not even to the eye.
    "lamps.fade": """\
import time
import neopixel
from machine import Pin

np = neopixel.NeoPixel(Pin(13), 5)
for level in range(256):
    np[2] = (level, level, level)
    np.write()
    time.sleep(4 / 255)
""",
    # Sleeps the same time over and over, so that it runs late, and the stern lamp has to wait.
    "lamps.signal": """\
import time
import neopixel
from machine import Pin

np = neopixel.NeoPixel(Pin(13), 5)
count = 0
while True:
    count += 1
    print("signal", count, ": two short, one long")
    for on, off in ((0.3, 0.3), (0.3, 0.3), (0.9, 2.0)):
        np[2] = (100, 100, 100)
        np.write()
        time.sleep(on)
        np[2] = (0, 0, 0)
        np.write()
        time.sleep(off)
""",
    # More than the wheels need.
    "drive.start": _MOTORS + "drive(0.30, 0.30, 2.5)\nstop()\n",
    # The same for two unequal motors.
    "drive.straight": _MOTORS + "drive(0.5, 0.5, 3.5)\nstop()\n",
    # Too much difference between the wheels.
    "drive.curve": _MOTORS + "drive(0.35, 0.55, 4.0)\nstop()\n",
    # The motors are left on.
    "drive.square": _MOTORS
    + "for side in range(4):\n    drive(0.5, 0.5, 2.0)\n    drive(0.2, 0.6, 1.5)\n",
    # A number of the scale to 1023, given to the scale to 65535.
    "arm.pulses": """\
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(1)
arm.duty_u16(77)
time.sleep(1)
arm.duty_u16(94)
time.sleep(1)
arm.duty_u16(0)
""",
    # Numbers of a neighbour's tug, without looking.
    "line.calibrate": """\
for eye in range(4):
    print("eye", eye, "white", 1100, "black", 2900)
""",
    # Never woken, so it reads nothing but zeros.
    "turn.identify": """\
from machine import Pin, I2C
import time

bus = I2C(0, scl=Pin(22), sda=Pin(21), freq=400000)
print("address", hex(0x68))
print("identity", hex(bus.readfrom_mem(0x68, 0x75, 1)[0]))
time.sleep_ms(100)
high, low = bus.readfrom_mem(0x68, 0x47, 2)
print("raw", 256 * high + low)
""",
}
"""A typical mistake in some of the tasks."""

Work = Callable[[int, str, str, str], str]
"""The task's place in its lesson (from 0), its id, starter and solution, to what is handed in."""


@dataclass(frozen=True)
class Learner:
    """One learner.

    Attributes:
        id: The name under which the work is handed in.
        about: What is to be seen here.
        work: What is handed in for each task.
        answer: What is written under a question; nothing if it is left as it was.
        lessons: How many of the lessons are handed in, from the first; None for all.
    """

    id: str
    about: str
    work: Work
    answer: str = ""
    lessons: int | None = None


def _solution(place: int, task: str, starter: str, solution: str) -> str:
    return solution


def _starter(place: int, task: str, starter: str, solution: str) -> str:
    return starter


def _first_only(place: int, task: str, starter: str, solution: str) -> str:
    return solution if place == 0 else TYPICAL.get(task, starter) if place == 1 else starter


def _typical(place: int, task: str, starter: str, solution: str) -> str:
    return TYPICAL.get(task, solution)


def _one_endless(place: int, task: str, starter: str, solution: str) -> str:
    return ENDLESS if task == "lamps.fade" else solution


CLASS = (
    Learner("alma", "all right", _solution, "Because the lamps keep what they were last sent."),
    Learner("bruno", "the first task right, the second partly", _first_only),
    Learner("cleo", "typical mistakes", _typical, "I am not sure."),
    Learner("dario", "handed in as it came", _starter),
    Learner("edda", "missed the last lesson", _solution, "It depends on the battery.", lessons=-1),
    Learner("fynn", "one program that never ends", _one_endless),
)
"""The class; every name is invented."""
