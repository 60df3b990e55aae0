# criterion: it sweeps in two seconds
# criterion: at a steady speed
# criterion: it holds to port
# mistake: arm mirrored
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def go(angle):
    arm.duty_u16(round((1500 - angle * 1000 / 90) / 20000 * 65535))


go(-45)
time.sleep(1.3)
for angle in range(-45, 46):
    go(angle)
    time.sleep_ms(22)
time.sleep(1.3)
for angle in range(45, -1, -1):
    go(angle)
    time.sleep_ms(22)
