from machine import PWM, Pin

pins = [2, 4, 5, 12, 15, 16, 17, 18, 23]
tones = [PWM(Pin(pin), freq=100 + 10 * k) for k, pin in enumerate(pins)]
