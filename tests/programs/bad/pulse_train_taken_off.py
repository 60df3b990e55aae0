# kind: RuntimeError
# shows: PWM is inactive
from machine import PWM, Pin

motor = PWM(Pin(25), freq=1000)
motor.deinit()
motor.duty(500)  # here
