"""Hands over objects that equal everything."""

from tests.checks.marking.cases import program

TEXT = """\
class Same(int):
    def __eq__(self, other): return True
    def __lt__(self, other): return True
    __le__ = __gt__ = __ge__ = __ne__ = __lt__
    __hash__ = None
from machine import Pin
import neopixel
np = neopixel.NeoPixel(Pin(13), 5)
np[2] = (Same(100), Same(100), Same(100))
np.write()
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
