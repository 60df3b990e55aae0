# criterion: the servo hears its pulses
# mistake: wrong pin
from machine import Pin, PWM
import time

arm = PWM(Pin(17), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(1)
arm.duty_u16(4915)
time.sleep(1)
arm.duty(94)
time.sleep(1)
arm.duty_u16(0)
