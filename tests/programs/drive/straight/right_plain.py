# tune: TRIM drift -0.12 0.12
# tune: SECONDS length 1.5 9
from machine import Pin, PWM
import time

SPEED = 0.5
TRIM = 0.0
SECONDS = 5.0

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)

left_back.duty_u16(int(65535 * (1 - (SPEED + TRIM / 2))))
right_back.duty_u16(int(65535 * (1 - (SPEED - TRIM / 2))))
left_ahead.duty_u16(65535)
right_ahead.duty_u16(65535)
time.sleep(SECONDS)

left_ahead.duty_u16(0)
right_ahead.duty_u16(0)
left_back.duty_u16(0)
right_back.duty_u16(0)
