# The common short cut: a power of 2.2 in place of the exact curve.
import time
from machine import Pin
from neopixel import NeoPixel

STEPS = 50
lamps = NeoPixel(Pin(13), 5)
levels = [int(255 * (k / STEPS) ** 2.2 + 0.5) for k in range(STEPS + 1)]
for level in levels:
    lamps[2] = [level] * 3
    lamps.write()
    time.sleep(4 / STEPS)
