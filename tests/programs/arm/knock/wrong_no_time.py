# criterion: it winds up and waits
# criterion: one full swing
# mistake: no time given to get there
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


us(1000)
time.sleep_ms(30)
us(2000)
time.sleep(1)
us(1500)
