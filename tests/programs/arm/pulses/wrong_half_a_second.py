# criterion: time for each
# mistake: no time given to get there
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(0.5)
arm.duty_u16(4915)
time.sleep(0.5)
arm.duty(94)
time.sleep(0.5)
arm.duty_u16(0)
