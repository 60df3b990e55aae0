# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
# criterion: Both wheels turn ahead
# mistake: driven for the wrong time
from machine import Pin, PWM
import time

LEFT = 0.2
RIGHT = 0.2

left_ahead = PWM(Pin(25), freq=1000, duty_u16=65535)
left_back = PWM(Pin(26), freq=1000, duty_u16=int(65535 * (1 - LEFT)))
right_ahead = PWM(Pin(27), freq=1000, duty_u16=65535)
right_back = PWM(Pin(14), freq=1000, duty_u16=int(65535 * (1 - RIGHT)))
time.sleep(3.6)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
