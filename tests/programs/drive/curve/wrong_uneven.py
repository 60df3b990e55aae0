# then: SPREAD 0.06
# tune: INNER radius 0.3 0.6
# tune: SECONDS half 1 9
# first: INNER 0.45
# first: SECONDS 2
# criterion: It keeps to the circle
# mistake: not one even curve
# Wide at first, then tight: right on the mean.
from machine import Pin, PWM
import time

INNER = 0.45
SECONDS = 4.0
SPREAD = 0.0
OUTER = 0.6

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)

left_ahead.duty_u16(65535)
right_ahead.duty_u16(65535)
right_back.duty_u16(int(65535 * (1 - OUTER)))
left_back.duty_u16(int(65535 * (1 - INNER - SPREAD)))
time.sleep(SECONDS / 2)
left_back.duty_u16(int(65535 * (1 - INNER + SPREAD)))
time.sleep(SECONDS / 2)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
