from machine import PWM, Pin

left = PWM(Pin(25), freq=1000)
left.duty_u16(int(1.2 * 65535))
