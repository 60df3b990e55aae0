# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
from machine import Pin, PWM
import time

LEFT = 0.20
RIGHT = 0.20

left_ahead = PWM(Pin(25), freq=1000, duty_u16=0)
left_back = PWM(Pin(26), freq=1000, duty_u16=0)
right_ahead = PWM(Pin(27), freq=1000, duty_u16=0)
right_back = PWM(Pin(14), freq=1000, duty_u16=0)

left_back.duty_u16(int((1 - LEFT) * 65535))
left_ahead.duty_u16(65535)
right_back.duty_u16(int((1 - RIGHT) * 65535))
right_ahead.duty_u16(65535)
time.sleep(2.5)

left_ahead.duty_u16(0)
left_back.duty_u16(0)
right_ahead.duty_u16(0)
right_back.duty_u16(0)
