# kind: ValueError
# shows: pin can only be input
from machine import PWM, Pin

PWM(Pin(39))  # here
