# criterion: the arm goes to both sides
# mistake: wrong pin
from machine import Pin, PWM
import time

TRIM = 0

arm = PWM(Pin(19), freq=50, duty_u16=0)


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


sweep(-45, 45, 1, 22)
