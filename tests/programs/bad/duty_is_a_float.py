# kind: TypeError
# shows: can't convert float to int
from machine import PWM, Pin

PWM(Pin(25), freq=1000).duty_u16(0.5)  # here
