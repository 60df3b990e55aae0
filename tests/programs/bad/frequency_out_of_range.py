# kind: ValueError
# shows: frequency must be from 1Hz to 40MHz
from machine import PWM, Pin

PWM(Pin(25), freq=0)  # here
