# kind: TypeError
# shows: can't convert str to int
from machine import PWM, Pin

PWM(Pin(25), freq=1000).duty("512")  # here
