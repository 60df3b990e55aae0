# criterion: one full swing
# mistake: more than one swing
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
for swing in range(2):
    print("stand clear")
    arm.duty_ns(1000000)
    time.sleep(1.3)
    arm.duty_ns(2000000)
    time.sleep(0.4)
arm.duty_ns(1500000)
time.sleep(0.5)
