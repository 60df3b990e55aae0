# criterion: It keeps to the sides
# mistake: trim on the wrong side
# then: SIGN -1
# tune: TRIM bend -0.12 0.12
# tune: TURN turn 0.3 1.2
# tune: SIDE side 1 4
from machine import Pin, PWM
import time

SPEED = 0.45
TRIM = 0.0
SIGN = 1
TURN = 0.6
SIDE = 2.4

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
    motor(la, lb, left + SIGN * TRIM / 2)
    motor(ra, rb, right - SIGN * TRIM / 2)
    time.sleep(seconds)
    motor(la, lb, 0)
    motor(ra, rb, 0)
    time.sleep(0.2)


for side in range(4):
    drive(SPEED, SPEED, SIDE)
    drive(-SPEED, SPEED, TURN)
for pwm in (la, lb, ra, rb):
    pwm.duty_u16(0)
