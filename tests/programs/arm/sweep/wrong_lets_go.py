# tune: TRIM trim -60 60
# criterion: it ends straight ahead
# mistake: pulses taken away at the end
from machine import Pin, PWM
import time

TRIM = 0

arm = PWM(Pin(18), freq=50, duty_u16=0)


def go(angle):
    arm.duty_ns(int((1500 + TRIM + angle * 1000 / 90) * 1000))


go(-45)
time.sleep(1.5)
for angle in range(-45, 46):
    go(angle)
    time.sleep_ms(22)
time.sleep(1.2)
for angle in range(45, -1, -1):
    go(angle)
    time.sleep_ms(22)
time.sleep(0.3)
arm.duty_u16(0)
