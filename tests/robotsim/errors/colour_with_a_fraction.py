from machine import Pin
from neopixel import NeoPixel

lamps = NeoPixel(Pin(13), 5)
lamps.fill((0, 255 * 0.2, 0))
