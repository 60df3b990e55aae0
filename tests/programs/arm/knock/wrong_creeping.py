# criterion: one full swing
# mistake: swing too slow
from machine import Pin, PWM
import time

arm = PWM(Pin(18), freq=50, duty_u16=0)


def us(width):
    arm.duty_ns(1000 * width)


us(1000)
time.sleep(1.3)
for width in range(1000, 2001, 50):
    us(width)
    time.sleep_ms(50)
us(1500)
