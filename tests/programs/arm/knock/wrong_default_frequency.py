# criterion: the float ends in the dock
# mistake: frequency is not 50 Hz
from machine import Pin, PWM
import time

arm = PWM(Pin(18), duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


arm.duty_u16(3277)
time.sleep(1.3)
arm.duty_u16(6554)
time.sleep(1)
arm.duty_u16(4915)
