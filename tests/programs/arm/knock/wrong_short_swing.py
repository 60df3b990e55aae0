# criterion: one full swing
# mistake: swing not far enough
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(1000000)
time.sleep(1.4)
arm.duty_ns(1700000)
time.sleep(0.5)
arm.duty_ns(1500000)
time.sleep(0.5)
