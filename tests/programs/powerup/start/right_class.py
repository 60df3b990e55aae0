# States as objects; plain pins hold the motors off until they are needed.
from machine import Pin

held = [Pin(n, Pin.OUT, value=0) for n in (25, 26, 27, 14)]

from machine import PWM
from neopixel import NeoPixel
import time


class Deck:
    def __init__(self):
        self.chain = NeoPixel(Pin(13), 5)

    def show(self, *colour):
        self.chain[4] = colour
        self.chain.write()


class Tug:
    def __init__(self, pins):
        self.pwm = [PWM(pin, freq=1000, duty_u16=0) for pin in pins]
        self.bumper = Pin(19, Pin.IN, Pin.PULL_UP)

    def both(self, share):
        la, lb, ra, rb = self.pwm
        la.duty_u16(65535)
        ra.duty_u16(65535)
        lb.duty_u16(65535 - int(65535 * share))
        rb.duty_u16(65535 - int(65535 * share))

    def __enter__(self):
        return self

    def __exit__(self, *what):
        for pwm in self.pwm:
            pwm.duty_u16(0)

    @property
    def met(self):
        return not self.bumper.value()


deck = Deck()
deck.show(100, 60, 0)
time.sleep_ms(3050)
tug = Tug(held)
stopped = False
deck.show(80, 80, 80)
with tug:
    for step in range(200):
        if tug.met:
            stopped = True
            break
        tug.both(min(40, step) / 100)
        time.sleep_ms(10)
deck.show(0, 0, 0)
while stopped:
    deck.show(100, 60, 0)
    time.sleep_ms(300)
    deck.show(0, 0, 0)
    time.sleep_ms(200)
