from machine import PWM, Pin

left = PWM(Pin(25), freq=1000, duty=300)
left.deinit()
left.duty(0)
