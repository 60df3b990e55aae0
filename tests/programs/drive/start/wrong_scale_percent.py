# criterion: It creeps
# mistake: duty in the wrong scale
import time
from machine import Pin, PWM

ahead = Pin(25, Pin.OUT, value=1), Pin(27, Pin.OUT, value=1)
back = PWM(Pin(26), freq=1000, duty_u16=80), PWM(Pin(14), freq=1000, duty_u16=80)
time.sleep(2)
for pin in ahead:
    pin.off()
for pwm in back:
    pwm.duty_u16(0)
