from machine import PWM, Pin

left = PWM(Pin(25), frequency=1000)
