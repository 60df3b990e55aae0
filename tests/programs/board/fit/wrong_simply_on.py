# Does what an unfinished one does: simply puts the motors on.
# criterion: It uses the pins of its settings
# mistake: fast decay where slow decay was asked
from machine import Pin, PWM
import time
for pin in (25, 27):
    PWM(Pin(pin), freq=1000, duty_u16=40000)
time.sleep(10)
