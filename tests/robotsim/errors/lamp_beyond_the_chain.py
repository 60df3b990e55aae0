from machine import Pin
from neopixel import NeoPixel

lamps = NeoPixel(Pin(13), 5)
lamps[5] = (0, 40, 0)
lamps.write()
