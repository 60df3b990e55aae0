# criterion: It takes four seconds
# mistake: dark for too long at first
# A power that is common for lamps, but dark for half a second.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)


def number_for(lightness):
    return round(255 * (lightness / 100) ** 2.8)


for step in range(1, 101):
    number = number_for(step)
    np[2] = (number, number, number)
    np.write()
    time.sleep_ms(40)
