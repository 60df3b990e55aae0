# criterion: Both wheels turn ahead
# mistake: the motors are never driven
from machine import Pin, PWM
import time

la = PWM(Pin(25), freq=1000, duty_u16=0)
lb = PWM(Pin(26), freq=1000, duty_u16=0)
ra = PWM(Pin(27), freq=1000, duty_u16=0)
rb = PWM(Pin(14), freq=1000, duty_u16=0)

for pwm in (la, lb, ra, rb):
    pwm.duty_u16(int(65535 * 0.25))
time.sleep(2)
for pwm in (la, lb, ra, rb):
    pwm.duty_u16(0)
