from machine import PWM, Pin

left = PWM(Pin(25), freq=1000)
left.duty(40000)
