# One table of moments for twelve seconds, in which both rhythms come out even.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
moments = []
for begin in (0, 4000, 8000):
    for at, on in ((0, 1), (300, 0), (600, 1), (900, 0), (1200, 1), (2100, 0)):
        moments.append((begin + at, 2, on))
for k in range(16):
    moments.append((750 * k, 3, 1 - k % 2))
moments.sort()

start = time.ticks_ms()
turn = 0
while True:
    for at, lamp, on in moments:
        due = time.ticks_add(start, 12000 * turn + at)
        while time.ticks_diff(due, time.ticks_ms()) > 0:
            time.sleep_ms(4)
        np[lamp] = (on * 100,) * 3
        np.write()
        if lamp == 2 and at % 4000 == 0:
            print("signal", end=" ")
            print(1 + turn * 3 + at // 4000, end=": two short, one long\n")
    turn += 1
