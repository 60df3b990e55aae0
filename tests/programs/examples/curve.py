# A bend to port, a bend to starboard: a class, a dictionary, a generator.
import math
import time
from machine import PWM, Pin


class Wheel:
    def __init__(self, ahead, back):
        self.pwm = PWM(Pin(ahead), freq=20_000, duty_u16=0)
        self.back = Pin(back, Pin.OUT, value=0)

    def speed(self, share):
        self.pwm.duty_u16(int(65535 * share))


wheels = {"left": Wheel(25, 26), "right": Wheel(27, 14)}


def wave(steps):
    for step in range(steps):
        yield 0.8 + 0.2 * math.sin(step * math.tau / steps if hasattr(math, "tau") else step * 2 * math.pi / steps)


for share in wave(12):
    wheels["left"].speed(share)
    wheels["right"].speed(1.6 - share)
    time.sleep_ms(150)
for wheel in wheels.values():
    wheel.speed(0)
