# The moves come from a generator.
import time
from machine import PWM, Pin


def moves():
    yield -45, 2000
    yield 48, 1000
    yield 0, 300


arm = PWM(Pin(18), freq=50, duty_u16=0)
for angle, ms in moves():
    print(angle)
    arm.duty_ns(int(1500000 + angle * 1000000 / 90))
    time.sleep_ms(ms)
