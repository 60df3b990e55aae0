# kind: ValueError
# shows: only one of parameters
from machine import PWM, Pin

PWM(Pin(25), freq=1000, duty=100, duty_u16=100)  # here
