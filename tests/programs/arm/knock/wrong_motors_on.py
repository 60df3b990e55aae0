# criterion: the hull keeps clear
# mistake: motors left on
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


la, lb, ra, rb = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]


def motors(left, right):
    for ahead, back, effort in ((la, lb, left), (ra, rb, right)):
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))


us(1000)
time.sleep(1.3)
us(2000)
time.sleep(0.5)
us(1500)
for pwm in (lb, rb):
    pwm.duty_u16(20000)
time.sleep(0.5)
