# Generators that say how long until they want to be asked again.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)


def show(lamp, on):
    v = 100 if on else 0
    np[lamp] = (v, v, v)
    np.write()


def mast():
    number = 0
    while True:
        number += 1
        show(2, True)
        print("signal %d: two short, one long" % number)
        yield 300
        show(2, False)
        yield 300
        for lit, dark in ((300, 300), (900, 1900)):
            show(2, True)
            yield lit
            show(2, False)
            yield dark


def stern():
    while True:
        show(3, True)
        yield 750
        show(3, False)
        yield 750


begin = time.ticks_ms()
tasks = [[begin, mast()], [begin, stern()]]
while True:
    for task in tasks:
        if time.ticks_diff(time.ticks_ms(), task[0]) >= 0:
            task[0] = time.ticks_add(task[0], next(task[1]))
    time.sleep_ms(4)
