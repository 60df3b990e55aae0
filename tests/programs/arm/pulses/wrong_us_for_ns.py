# criterion: the servo hears its pulses
# criterion: 45 degrees to starboard
# criterion: straight ahead
# criterion: 30 degrees to port
# mistake: duty in the wrong scale
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000)
time.sleep(1)
arm.duty_ns(1500)
time.sleep(1)
arm.duty_ns(1833)
time.sleep(1)
arm.duty_u16(0)
