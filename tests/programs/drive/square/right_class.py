# tune: RATIO bend 0.75 1.3
# tune: CORNER_MS turn 300 1200
# tune: SIDE_MS side 1000 4000
import time
from machine import PWM, Pin

RATIO = 1.0
CORNER_MS = 600
SIDE_MS = 2400


class Motor:
    def __init__(self, ahead, back):
        self.pins = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (ahead, back)]

    def effort(self, share):
        driven, pulsed = self.pins if share >= 0 else self.pins[::-1]
        driven.duty_u16(65535)
        pulsed.duty_u16(int(65535 * (1 - abs(share))))


class Tug:
    def __init__(self):
        self.left, self.right = Motor(25, 26), Motor(27, 14)

    def move(self, left, right, ms):
        self.left.effort(left)
        self.right.effort(right * RATIO)
        time.sleep_ms(ms)
        self.left.effort(0)
        self.right.effort(0)
        time.sleep_ms(150)

    def side(self):
        self.move(0.5, 0.5, SIDE_MS)
        return self

    def corner(self):
        self.move(-0.4, 0.4, CORNER_MS)
        return self


tug = Tug()
tug.side().corner().side().corner().side().corner().side().corner()
