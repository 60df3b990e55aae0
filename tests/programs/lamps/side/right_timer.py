# tune: RED_FIRST red_first 0 1
# A greeting first, then a one-shot timer sets the running lights.
from machine import Pin, Timer
from neopixel import NeoPixel

RED_FIRST = 0

np = NeoPixel(Pin(13), 5)
if RED_FIRST:
    np.ORDER = (0, 1, 2, 3)
np.fill((50, 50, 50))
np.write()


def under_way(timer):
    for lamp, colour in enumerate(((150, 10, 0), (0, 150, 20), (99, 99, 99), (99, 99, 99), (150, 60, 0))):
        np[lamp] = colour
    np.write()


Timer(0).init(mode=Timer.ONE_SHOT, period=300, callback=under_way)
