# kind: RuntimeError
# shows: PWM is inactive
from machine import PWM, Pin

motor = PWM(Pin(25), freq=1000)
Pin(25, Pin.OUT)
motor.duty(500)  # here
