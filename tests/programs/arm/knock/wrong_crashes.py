# criterion: the float ends in the dock
# mistake: the program stopped with an error
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


us(1000)
time.sleep(1.2)
us(20000.0)
