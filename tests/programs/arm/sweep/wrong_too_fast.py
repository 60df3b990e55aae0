# criterion: it sweeps in two seconds
# mistake: sweep too fast or too slow
# tune: TRIM trim -60 60
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


go(-45)
time.sleep(1.3)
sweep(-45, 45, 1, 10)
time.sleep(1.3)
sweep(45, 0, 1, 22)
