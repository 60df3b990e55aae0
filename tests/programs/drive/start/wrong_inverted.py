# criterion: It creeps
# mistake: slow-decay duty inverted
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)


def stop():
    for pwm in (la, lb, ra, rb):
        pwm.duty_u16(0)


def inverted(ahead, back, effort):
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * effort))


inverted(la, lb, 0.2)
inverted(ra, rb, 0.2)
time.sleep(2)
stop()
