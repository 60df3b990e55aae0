# A class that hands out one try after the other; gives up on a try when the board says why.
from machine import Pin

PINS = [Pin(n, Pin.OUT) for n in (25, 26, 27, 14)]
for pin in PINS:
    pin.off()

import network
import time
from neopixel import NeoPixel
from secrets import NETWORKS


class Deck:
    VIOLET, WHITE, AMBER, DARK = (40, 0, 60), (50, 50, 50), (90, 40, 0), (0, 0, 0)

    def __init__(self):
        self.np = NeoPixel(Pin(13), 5)

    def show(self, colour):
        self.np[4] = colour
        self.np.write()

    def call(self):
        while True:
            for colour in (self.AMBER, self.DARK):
                self.show(colour)
                time.sleep_ms(240)


class Finder:
    def __init__(self, pairs):
        self.pairs = list(pairs)
        self.wlan = network.WLAN(network.STA_IF)
        self.wlan.active(True)
        self.wlan.config(reconnects=2)

    def try_one(self, name, key, seconds=8):
        self.wlan.connect(name, key)
        for _ in range(seconds * 20):
            if self.wlan.isconnected():
                return name
            time.sleep_ms(50)
        self.wlan.disconnect()
        return None

    def find(self):
        for pair in self.pairs:
            found = self.try_one(*pair)
            if found:
                return found
        return None


deck = Deck()
deck.show(Deck.VIOLET)
finder = Finder(NETWORKS)
if finder.find():
    deck.show(Deck.WHITE)
    while True:
        time.sleep_ms(500)
deck.call()
