# criterion: Both wheels turn ahead
# mistake: wrong pin
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(32), freq=1000, duty_u16=0)
rb = PWM(Pin(12), freq=1000, duty_u16=0)


def slow(ahead, back, effort):
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - effort)))


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


slow(la, lb, 0.25)
slow(ra, rb, 0.25)
time.sleep(2)
stop()
