# criterion: It keeps to the circle
# mistake: no difference between the wheels
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


drive(0.45, 0.45, 3)
stop()
