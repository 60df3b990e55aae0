from machine import PWM, Pin

arm = PWM(Pin(18), freq=1000)
arm.duty_ns(1500000)
