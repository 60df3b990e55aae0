# criterion: 30 degrees to port
# mistake: cut off instead of rounded
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(int(1.0 * 1000000))
time.sleep(1)
arm.duty_u16(int(0.075 * 65535))
time.sleep(1)
arm.duty(int(1833 / 20000 * 1023))
time.sleep(1)
arm.duty_u16(0)
