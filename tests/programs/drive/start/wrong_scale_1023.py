# criterion: Both wheels turn ahead
# mistake: duty in the wrong scale
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)

la.duty_u16(204)
ra.duty_u16(204)
time.sleep(2.2)
la.duty_u16(0)
ra.duty_u16(0)
