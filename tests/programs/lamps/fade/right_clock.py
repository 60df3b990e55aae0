# The level follows the clock, so the number of steps is whatever the loop manages.
import time
from machine import Pin
from neopixel import NeoPixel

DURATION_MS = 4000


def number(lightness):
    y = lightness / 903.3 if lightness < 8 else ((lightness + 16) / 116) ** 3
    return min(255, int(y * 256))


class Dawn:
    def __init__(self, chain, lamp):
        self.chain, self.lamp = chain, lamp
        self.start = time.ticks_ms()

    @property
    def passed(self):
        return time.ticks_diff(time.ticks_ms(), self.start)

    def show(self):
        v = number(100 * min(self.passed / DURATION_MS, 1))
        self.chain[self.lamp] = (v, v, v)
        self.chain.write()


dawn = Dawn(NeoPixel(Pin(13), 5), 2)
while dawn.passed < DURATION_MS + 50:
    dawn.show()
    time.sleep_ms(10)
