# criterion: Both wheels turn ahead
# mistake: below the start duty
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)


def slow(ahead, back, effort):
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - effort)))


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


for percent in range(1, 11):
    for a, b in ((la, lb), (ra, rb)):
        a.duty_u16(65535)
        b.duty_u16(int(655.35 * (100 - percent)))
    time.sleep(0.2)
stop()
