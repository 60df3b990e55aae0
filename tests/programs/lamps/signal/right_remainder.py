# What each lamp shows is worked out from the time since the start.
import time
from machine import Pin
from neopixel import NeoPixel


def mast(ms):
    t = ms % 4000
    return t < 300 or 600 <= t < 900 or 1200 <= t < 2100


def stern(ms):
    return ms % 1500 < 750


np = NeoPixel(Pin(13), 5)
start = time.ticks_ms()
told = 0
while True:
    ms = time.ticks_diff(time.ticks_ms(), start)
    np[2] = (80, 80, 80) if mast(ms) else (0, 0, 0)
    np[3] = (80, 80, 80) if stern(ms) else (0, 0, 0)
    np.write()
    if ms // 4000 >= told:
        told += 1
        print("signal {}: two short, one long".format(told))
    time.sleep_ms(10)
