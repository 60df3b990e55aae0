# criterion: It ends at full white and stays
# mistake: the rise stops short of full
# range(100) ends at 99.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)


def number_for(lightness):
    y = lightness / 903.3 if lightness <= 8 else ((lightness + 16) / 116) ** 3
    return round(255 * y)


for step in range(100):
    number = number_for(step)
    np[2] = (number, number, number)
    np.write()
    time.sleep_ms(40)
