from machine import Pin
from neopixel import NeoPixel

lamps = NeoPixel(Pin(13), 5)
lamps[0] = (0, 40)
