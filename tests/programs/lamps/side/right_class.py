# tune: RED_FIRST red_first 0 1
# A tug's lamps as a class that mends the colour order itself, and a loop that goes on.
import time

from machine import Pin
from neopixel import NeoPixel

RED_FIRST = 0


class Lights:
    NAMES = ("port", "starboard", "mast", "stern", "deck")

    def __init__(self, pin):
        self._chain = NeoPixel(Pin(pin, Pin.OUT), len(self.NAMES))

    def show(self, **colours):
        for name, colour in colours.items():
            self._chain[self.NAMES.index(name)] = self._for_chip(colour)
        self._chain.write()

    def _for_chip(self, colour):
        red, green, blue = colour
        return (green, red, blue) if RED_FIRST else (red, green, blue)


lights = Lights(13)
lights.show(port=(80, 0, 0), starboard=(0, 80, 0))
lights.show(mast=(60, 60, 60), stern=(60, 60, 50), deck=(80, 30, 0))
while True:
    time.sleep(1)
