# criterion: the float ends in the dock
# mistake: no time given to get there
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
print("stand clear")
arm.duty_ns(1000000)
time.sleep(1.4)
arm.duty_ns(2000000)
time.sleep(0.05)
arm.duty_ns(1500000)
time.sleep(0.5)
