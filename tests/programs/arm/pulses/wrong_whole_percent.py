# criterion: straight ahead
from machine import Pin, PWM
import time


# whole percents: 1.5 ms is 7.5, not 7
arm = PWM(Pin(18), freq=50, duty_u16=0)
arm.duty_ns(100 * 1000 // 20000 * 200000)
time.sleep(1)
arm.duty_u16(100 * 1500 // 20000 * 65535 // 100)
time.sleep(1)
arm.duty(100 * 1833 // 20000 * 1023 // 100)
time.sleep(1)
