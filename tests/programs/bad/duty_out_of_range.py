# kind: ValueError
# shows: duty must be from 0 to 1023
from machine import PWM, Pin

motor = PWM(Pin(25), freq=1000)
motor.duty(0)
motor.duty(1024)  # here
