# criterion: It takes four seconds
# mistake: it begins too late
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)


def number(lightness):
    if lightness <= 8:
        return round(255 * lightness / 903.3)
    return round(255 * ((lightness + 16) / 116) ** 3)


time.sleep(2)
for step in range(1, 101):
    np[2] = (number(step),) * 3
    np.write()
    time.sleep_ms(40)
