# criterion: 30 degrees to port
# mistake: the third scale was not used
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(1)
arm.duty_ns(1500000)
time.sleep(1)
arm.duty_ns(1833333)
time.sleep(1)
arm.duty_u16(0)
