# criterion: It comes up evenly to the eye
# mistake: the lamp flickers on its way
# The lamp's own chip makes it darker by switching; here the program tries that itself.
import time
from machine import Pin
from neopixel import NeoPixel

np = NeoPixel(Pin(13), 5)
start = time.ticks_ms()


def show(number, ms):
    if ms:
        np[2] = (number, number, number)
        np.write()
        time.sleep_ms(ms)


while True:
    lightness = min(100, time.ticks_diff(time.ticks_ms(), start) / 40)
    share = lightness / 903.3 if lightness <= 8 else ((lightness + 16) / 116) ** 3
    lit = round(10 * share)
    show(255, lit)
    show(0, 10 - lit)
