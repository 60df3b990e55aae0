from machine import PWM, Pin

left = PWM(Pin(25), freq=1000)
left.duty_u16(0.4 * 65535)
