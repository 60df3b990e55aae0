# criterion: It refuses bad orders
import time

from machine import Pin
from neopixel import NeoPixel

lamps = NeoPixel(Pin(13), 5)
while True:
    for colour in ((200, 200, 0), (0, 0, 200), (150, 150, 150)):
        lamps.fill(colour)
        lamps.write()
        time.sleep(0.6)
