# criterion: the float ends in the dock
# mistake: never struck the float
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


us(1000)
time.sleep(1.3)
us(1500)
