# criterion: the servo hears its pulses
# mistake: no time given to get there
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
pass
arm.duty_u16(4915)
pass
arm.duty(94)
pass
arm.duty_u16(0)
time.sleep(3)
