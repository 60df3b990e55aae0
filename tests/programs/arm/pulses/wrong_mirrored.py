# criterion: 45 degrees to starboard
# criterion: 30 degrees to port
# mistake: arm mirrored
from machine import Pin, PWM
import time


arm = PWM(Pin(18), freq=50, duty_u16=0)
us = {angle: 1500 - angle * 1000 / 90 for angle in (-45, 0, 30)}
arm.duty_ns(round(us[-45] * 1000))
time.sleep(1)
arm.duty_u16(round(us[0] / 20000 * 65535))
time.sleep(1)
arm.duty(round(us[30] / 20000 * 1023))
time.sleep(1)
