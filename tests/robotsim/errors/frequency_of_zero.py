from machine import PWM, Pin

left = PWM(Pin(25), freq=0)
