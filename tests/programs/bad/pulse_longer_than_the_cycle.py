# kind: ValueError
# shows: duty_ns must be from 0 to 20000000 ns
from machine import PWM, Pin

arm = PWM(Pin(18), freq=50)
arm.duty_ns(20_000_001)  # here
