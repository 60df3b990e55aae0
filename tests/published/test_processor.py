"""What computing costs against MicroPython's own benchmarks on a board of this family.

*Source*: figures of MicroPython's benchmark suite on this family, at N=100 and M=100, which its
makers published with three changes of the firmware (R = read): misc_mandel 1967 to 3174 and
bm_float 3367 to 4086 pieces of work a second.  The programs below do the same work and are written
anew: 20 x 20 points of the Mandelbrot set with at most 32 rounds each; 250 points on a curve of
sines, brought to length 1, and their largest sides.  Ours is a count of syntax, so a factor of two
is what may be hoped for.  Measured once with the suite's own programs, ten of them: ours is
slower on all but one, by 1.75 in the geometric mean, by 4 at the worst (pure work on bytes).

Console: 115200 baud, ten bits a character, MicroPython quick reference (R).
"""

from __future__ import annotations

import pytest

from robotsim import Whose, run_trial
from tests.published.table import Between, Tell

SUITE = "MicroPython's benchmarks (R)"
MANDELBROT = """
def rounds(place):
    value = 0
    for number in range(32):
        value = value * value + place
        if abs(value) > 100:
            return number
    return 0


def picture(size):
    found = bytearray(size * size)
    for row in range(size):
        for column in range(size):
            place = complex(row / 6.0 - 2.3, column / 8.0 - 1.2)
            found[row * size + column] = rounds(place)
    return found
"""
POINTS = """
from math import cos, sin, sqrt


class Place:
    def __init__(self, k):
        self.x = sin(k)
        self.y = 3 * cos(k)
        self.z = self.x * self.x / 2

    def shorten(self):
        x, y, z = self.x, self.y, self.z
        size = sqrt(x * x + y * y + z * z)
        self.x, self.y, self.z = x / size, y / size, z / size

    def grow(self, other):
        self.x = self.x if self.x > other.x else other.x
        self.y = self.y if self.y > other.y else other.y
        self.z = self.z if self.z > other.z else other.z
        return self


def largest(count):
    places = [Place(k) for k in range(count)]
    for place in places:
        place.shorten()
    found = places[0]
    for place in places[1:]:
        found = found.grow(place)
    return found
"""


def took_us(text: str, call: str) -> int:
    timed = f"import time\nbegan = time.ticks_us()\n{call}\nprint(time.ticks_us() - began)\n"
    told = run_trial(text + timed, seconds=5.0, whose=Whose.KIT)
    return int(told.printed[-1][1])


@pytest.mark.parametrize(
    ("what", "text", "call", "work", "low", "high"),
    [
        ("Mandelbrot points a second", MANDELBROT, "picture(20)", 400, 1967, 3174),
        ("places on a curve a second", POINTS, "largest(250)", 250, 3367, 4086),
    ],
)
def test_computing_takes_about_as_long_as_on_a_board(
    what: str, text: str, call: str, work: int, low: float, high: float, tell: Tell
) -> None:
    ours = tell(what, Between(low, high), 1e6 * work / took_us(text, call), SUITE)
    assert low / 2 <= ours <= high * 2


def test_a_character_on_the_console_takes_ten_bits(tell: Tell) -> None:
    short, long = (took_us("", f"print({'x' * n!r})") for n in (10, 110))
    ours = tell("a character on the console, us", 86.8, (long - short) / 100, "115200 baud (R)")
    assert ours == pytest.approx(86.8, rel=0.02)
