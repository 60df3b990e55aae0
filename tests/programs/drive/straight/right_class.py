# A class for a motor and one for the tug; the trim is a factor.
# tune: RATIO drift 0.75 1.3
# tune: MS length 1500 9000
import time
from machine import PWM, Pin

RATIO = 1.0
MS = 4000
FULL = 65535


class Motor:
    def __init__(self, ahead, back):
        self.pins = [PWM(Pin(n), freq=2000, duty_u16=FULL) for n in (ahead, back)]

    def effort(self, share):
        ahead, back = self.pins
        ahead.duty_u16(FULL if share >= 0 else int(FULL * (1 + share)))
        back.duty_u16(FULL if share < 0 else int(FULL * (1 - share)))


class Tug:
    def __init__(self):
        self.left = Motor(25, 26)
        self.right = Motor(27, 14)

    def ahead(self, share, ms):
        self.left.effort(share)
        self.right.effort(share * RATIO)
        time.sleep_ms(ms)
        self.brake()

    def brake(self):
        self.left.effort(0)
        self.right.effort(0)


tug = Tug()
tug.ahead(0.6, MS)
