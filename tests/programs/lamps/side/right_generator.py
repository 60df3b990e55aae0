# tune: RED_FIRST red_first 0 1
# A generator of (lamp, colour) pairs; the frame is sent again ten times a second.
import time
from machine import Pin
import neopixel

RED_FIRST = 0


def rule_of_the_road(level):
    yield 0, (level, 0, 0)
    yield 1, (0, level, 0)
    for lamp in (2, 3):
        yield lamp, (level,) * 3
    yield -1, (level, level // 2, 0)


np = neopixel.NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
while True:
    for lamp, colour in rule_of_the_road(120):
        np[lamp] = colour
    np.write()
    time.sleep_ms(100)
