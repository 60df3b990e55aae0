# criterion: the arm goes to both sides
# mistake: frequency is not 50 Hz
from machine import Pin, PWM
import time

TRIM = 0

arm = PWM(Pin(18), duty_u16=0)


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


for angle in range(-45, 46):
    arm.duty_u16(int((1.5 + angle / 90) / 20 * 65535))
    time.sleep_ms(22)
