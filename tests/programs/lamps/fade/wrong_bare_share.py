# criterion: It comes up evenly to the eye
# mistake: the rise stops short of full
# The share of the full light is not taken times 255.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)


def number_for(lightness):
    y = lightness / 903.3 if lightness <= 8 else ((lightness + 16) / 116) ** 3
    return round(y)


for step in range(1, 101):
    number = number_for(step)
    np[2] = (number, number, number)
    np.write()
    time.sleep_ms(40)
