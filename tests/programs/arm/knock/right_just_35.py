# Just the angles that the task names, with no trim: on an arm that is off they come out as 32 or 38.
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def go(angle):
    arm.duty_ns(int((1500 + angle * 1000 / 90) * 1000))


go(-35)
time.sleep(1.2)
go(35)
time.sleep(0.5)
go(0)
