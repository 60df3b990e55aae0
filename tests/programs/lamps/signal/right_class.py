# A class for a blinking lamp; the loop sleeps until the next change that is due.
import time
from machine import Pin
from neopixel import NeoPixel


class Beacon:
    def __init__(self, lamp, lengths, begin, each=None):
        self.lamp, self.lengths, self.due, self.each = lamp, lengths, begin, each
        self.k = 0
        self.round = 0

    def change(self, now, np):
        while time.ticks_diff(now, self.due) >= 0:
            lit = self.k % 2 == 0
            np[self.lamp] = (90, 90, 80) if lit else (0, 0, 0)
            np.write()
            if self.k == 0:
                self.round += 1
                if self.each:
                    self.each(self.round)
            self.due = time.ticks_add(self.due, self.lengths[self.k])
            self.k = (self.k + 1) % len(self.lengths)


def log(n):
    print("Signal", str(n) + ": two short, one long.")


np = NeoPixel(Pin(13), 5)
begin = time.ticks_add(time.ticks_ms(), 200)
beacons = [Beacon(2, (300, 300, 300, 300, 900, 1900), begin, log), Beacon(3, (750, 750), begin)]
while True:
    now = time.ticks_ms()
    for beacon in beacons:
        beacon.change(now, np)
    wait = min(time.ticks_diff(b.due, time.ticks_ms()) for b in beacons)
    if wait > 0:
        time.sleep_ms(wait)
