# criterion: Both wheels turn ahead
# mistake: driven for the wrong time
# then: SECONDS 1
# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)
LEFT = 0.2
RIGHT = 0.2
SECONDS = 2.5


def slow(ahead, back, effort):
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - effort)))


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


slow(la, lb, LEFT)
slow(ra, rb, RIGHT)
time.sleep(SECONDS)
stop()
