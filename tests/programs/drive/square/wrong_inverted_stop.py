# criterion: It stops by itself
# mistake: slow-decay duty inverted
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)


def motor(ahead, back, effort):
    if effort >= 0:
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))
    else:
        back.duty_u16(65535)
        ahead.duty_u16(int(65535 * (1 + effort)))


def drive(left, right, seconds):
    motor(la, lb, left)
    motor(ra, rb, right)
    time.sleep(seconds)


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


def inverted(ahead, back, effort):
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * effort))


for corner in range(4):
    inverted(la, lb, 0.5)
    inverted(ra, rb, 0.5)
    time.sleep(1)
    inverted(la, lb, 0)
    inverted(ra, rb, 0)
