# Brighter and darker along a squared curve.
import time
from machine import Pin
from neopixel import NeoPixel

chain = NeoPixel(Pin(13), 5)
STEPS = 24


def level(step):
    share = 1 - abs(2 * step / STEPS - 1)
    return int(255 * share * share + 0.5)


for step in range(STEPS + 1):
    chain.fill((level(step), 0, level(STEPS - step)))
    chain.write()
    time.sleep_ms(20)
