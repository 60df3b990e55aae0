# A switch that remembers when it last changed, with a lock of 30 ms.
from machine import PWM, Pin

LEFT = PWM(Pin(25), freq=1000, duty=0), PWM(Pin(26), freq=1000, duty=0)
RIGHT = PWM(Pin(27), freq=1000, duty=0), PWM(Pin(14), freq=1000, duty=0)

import time
from neopixel import NeoPixel


class Switch:
    LOCK_MS = 30

    def __init__(self, pin):
        self.pin = Pin(pin, Pin.IN, Pin.PULL_UP)
        self.closed = False
        self.until = time.ticks_ms()

    def pressed(self):
        """Give True once for each press."""
        if time.ticks_diff(self.until, time.ticks_ms()) > 0:
            return False
        now = not self.pin.value()
        if now == self.closed:
            return False
        self.closed = now
        self.until = time.ticks_add(time.ticks_ms(), self.LOCK_MS)
        return now


class Tug:
    def run(self, percent):
        for ahead, back in (LEFT, RIGHT):
            a, b = (ahead, back) if percent >= 0 else (back, ahead)
            a.duty(1023)
            b.duty(1023 * (100 - abs(percent)) // 100)

    def stop(self):
        for pwm in LEFT + RIGHT:
            pwm.duty(0)


switch, tug, chain = Switch(19), Tug(), NeoPixel(Pin(13), 5)
presses, back_for = 0, 0
while presses < 5 or back_for:
    if switch.pressed() and not back_for:
        chain[presses] = (60, 30, 0)
        chain.write()
        presses += 1
        back_for = 100
    if back_for:
        back_for -= 1
    tug.run(-40 if back_for else 38)
    time.sleep_ms(4)
tug.stop()
