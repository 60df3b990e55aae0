# criterion: Both wheels turn ahead
# mistake: PWM frequency too high for fast decay
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=20000, duty_u16=0)
lb = PWM(Pin(26), freq=20000, duty_u16=0)
ra = PWM(Pin(27), freq=20000, duty_u16=0)
rb = PWM(Pin(14), freq=20000, duty_u16=0)

la.duty_u16(int(65535 * 0.3))
ra.duty_u16(int(65535 * 0.3))
time.sleep(2.2)
la.duty_u16(0)
ra.duty_u16(0)
