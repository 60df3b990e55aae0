# Two timers of the board; the main program has nothing left to do.
from machine import Pin, Timer
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
TICK_MS = 50
MAST = "111111000000" "111111000000" "111111111111111111" + "0" * 38
count = [0, 0]


def mast(timer):
    k = count[0] % len(MAST)
    if k == 0:
        print("signal %d: two short, one long" % (count[0] // len(MAST) + 1))
    v = 120 * int(MAST[k])
    if np[2][0] != v:
        np[2] = (v, v, v)
        np.write()
    count[0] += 1


def stern(timer):
    count[1] += 1
    v = 120 * (count[1] % 2)
    np[3] = (v, v, v)
    np.write()


Timer(0, mode=Timer.PERIODIC, period=TICK_MS, callback=mast)
Timer(1, mode=Timer.PERIODIC, period=750, callback=stern)
