# Two motors as objects; the inner duty is a number of its own.
# tune: INNER radius 0.25 0.6
# tune: MS half 1500 9000
import time
from machine import PWM, Pin

INNER = 0.42
OUTER = 0.55
MS = 4500


class Motor:
    FULL = 65535

    def __init__(self, *pins):
        self.ahead, self.back = (PWM(Pin(n), freq=1500, duty_u16=0) for n in pins)

    def run(self, share):
        self.back.duty_u16(int(self.FULL * (1 - share)))
        self.ahead.duty_u16(self.FULL)

    def off(self):
        self.ahead.duty_u16(0)
        self.back.duty_u16(0)


motors = Motor(25, 26), Motor(27, 14)
try:
    for motor, share in zip(motors, (INNER, OUTER)):
        motor.run(share)
    time.sleep_ms(MS)
finally:
    for motor in motors:
        motor.off()
