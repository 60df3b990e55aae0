# criterion: Both wheels turn ahead
# mistake: the program stopped with an error
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)

la.duty(13107)
ra.duty(13107)
time.sleep(2)
