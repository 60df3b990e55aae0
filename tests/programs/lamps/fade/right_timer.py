# A generator of levels, and a timer that takes the next one.
from machine import Pin, Timer
from neopixel import NeoPixel


def levels(steps):
    for k in range(1, steps + 1):
        lightness = 100 * k / steps
        yield round(255 * (((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3))


np = NeoPixel(Pin(13), 5)
dawn = levels(80)
clock = Timer(1)


def tick(timer):
    try:
        v = next(dawn)
    except StopIteration:
        timer.deinit()
        return
    np[2] = (v, v, v)
    np.write()


clock.init(period=50, callback=tick)
