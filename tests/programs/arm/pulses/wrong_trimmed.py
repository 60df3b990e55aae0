# criterion: 45 degrees to starboard
# criterion: straight ahead
# criterion: 30 degrees to port
# mistake: trim where none was asked
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1030000)
time.sleep(1)
arm.duty_u16(5014)
time.sleep(1)
arm.duty(95)
time.sleep(1)
arm.duty_u16(0)
