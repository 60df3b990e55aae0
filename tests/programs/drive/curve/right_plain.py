# tune: RATIO radius 0.55 1.05
# tune: SECONDS half 1 9
from machine import Pin, PWM
import time

OUTER = 0.6
RATIO = 0.75
SECONDS = 4.0

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)

left_back.duty_u16(int(65535 * (1 - OUTER * RATIO)))
right_back.duty_u16(int(65535 * (1 - OUTER)))
left_ahead.duty_u16(65535)
right_ahead.duty_u16(65535)
time.sleep(SECONDS)
left_back.duty_u16(65535)
right_back.duty_u16(65535)
time.sleep(0.2)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
