# criterion: 45 degrees to starboard
# criterion: 30 degrees to port
# mistake: angles in another order
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1833333)
time.sleep(1)
arm.duty_u16(4915)
time.sleep(1)
arm.duty(51)
time.sleep(1)
arm.duty_u16(0)
