# tune: TURN half 0.2 1.5
# criterion: It keeps to the circle
# mistake: turned on the spot
# It comes to the right place, looking the right way, but not along a circle.
from machine import Pin, PWM
import time

TURN = 0.5

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)


def motor(ahead, back, effort):
    if effort >= 0:
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - effort)))
    else:
        back.duty_u16(65535)
        ahead.duty_u16(int(65535 * (1 + effort)))


def move(left, right, seconds):
    motor(left_ahead, left_back, left)
    motor(right_ahead, right_back, right)
    time.sleep(seconds)
    motor(left_ahead, left_back, 0)
    motor(right_ahead, right_back, 0)
    time.sleep(0.2)


move(-0.45, 0.45, TURN)
move(0.5, 0.5, 2.6)
move(-0.45, 0.45, TURN)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
