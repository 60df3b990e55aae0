# criterion: the arm goes to both sides
# mistake: duty in the wrong scale
from machine import Pin, PWM
import time

TRIM = 0

arm = PWM(Pin(18), freq=50, duty_u16=0)


def go(angle):
    arm.duty_ns(int(1000 * (1500 + TRIM + angle * 1000 / 90)))


def sweep(first, last, step, ms):
    way = 1 if last > first else -1
    angle = first
    while way * (last - angle) > 0:
        go(angle)
        time.sleep_ms(ms)
        angle += way * step
    go(last)


for number in list(range(51, 103)) + list(range(102, 76, -1)):
    arm.duty_u16(number)
    time.sleep_ms(40)
