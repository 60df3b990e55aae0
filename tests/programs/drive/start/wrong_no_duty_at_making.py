# The PWMs of the ahead inputs are made without a duty, and begin at 50 %.
# criterion: It creeps
# mistake: no duty given when the PWM was made
# tune: LEFT left_start 0.10 0.30
# tune: RIGHT right_start 0.10 0.30
from machine import Pin, PWM
import time

LEFT = 0.2
RIGHT = 0.2

left_ahead = PWM(Pin(25), freq=1000)
right_ahead = PWM(Pin(27), freq=1000)
print("get ready")
time.sleep(0.5)
left_back = PWM(Pin(26), freq=1000, duty_u16=int(65535 * (1 - LEFT)))
right_back = PWM(Pin(14), freq=1000, duty_u16=int(65535 * (1 - RIGHT)))
left_ahead.duty_u16(65535)
right_ahead.duty_u16(65535)
time.sleep(2.5)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
