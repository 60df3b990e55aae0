from machine import Pin
from neopixel import NeoPixel

COLOURS = ((40, 0, 0), (0, 40, 0))
lamps = NeoPixel(Pin(13), 5)
for k in range(3):
    lamps[k] = COLOURS[k]
