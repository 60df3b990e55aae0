# tune: TRIM bend -0.15 0.15
# tune: TURN turn 0.3 2.5
# tune: SIDE side 1 4.5
# first: TRIM 0
# criterion: It keeps to the sides
# mistake: turned about one wheel
from machine import Pin, PWM
import time

TRIM = 0
TURN = 1.0
SIDE = 2.5

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)


def move(left, right, seconds):
    left_ahead.duty_u16(65535)
    right_ahead.duty_u16(65535)
    left_back.duty_u16(int(65535 * (1 - left)))
    right_back.duty_u16(int(65535 * (1 - right)))
    time.sleep(seconds)
    left_back.duty_u16(65535)
    right_back.duty_u16(65535)
    time.sleep(0.2)


for side in range(4):
    move(0.45 + TRIM / 2, 0.45 - TRIM / 2, SIDE)
    move(0, 0.45, TURN)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
