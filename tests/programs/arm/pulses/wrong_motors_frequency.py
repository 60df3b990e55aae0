# criterion: the servo hears its pulses
# criterion: 45 degrees to starboard
# criterion: straight ahead
# criterion: 30 degrees to port
# criterion: 50 pulses a second
# mistake: frequency is not 50 Hz
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=1000, duty_u16=0)
arm.duty_u16(3277)
time.sleep(1)
arm.duty_u16(4915)
time.sleep(1)
arm.duty(94)
time.sleep(1)
arm.duty_u16(0)
