# criterion: straight ahead
# mistake: duty in the wrong scale
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(1)
arm.duty_u16(1500)
time.sleep(1)
arm.duty(94)
time.sleep(1)
arm.duty_u16(0)
