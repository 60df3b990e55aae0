# criterion: it winds up and waits
# criterion: one full swing
# mistake: no wind-up
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


us(1500)
time.sleep(1.3)
us(2000)
time.sleep(0.5)
us(1500)
