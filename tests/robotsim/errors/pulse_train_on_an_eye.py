from machine import PWM, Pin

motor = PWM(Pin(36), freq=1000)
