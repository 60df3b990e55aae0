# criterion: the float ends in the dock
# mistake: duty in the wrong scale
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


arm.duty_u16(51)
time.sleep(1.3)
arm.duty_u16(102)
time.sleep(1)
arm.duty_u16(77)
