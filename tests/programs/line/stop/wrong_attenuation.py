# criterion: It stops at the bar
# mistake: attenuation not set
# On and off, gently, with a dead zone; no calibration: any ink and any eye lie on either side of 2250.
from machine import ADC, PWM, Pin
import time

eyes = [ADC(Pin(n)) for n in (36, 39, 34, 35)]
la, lb, ra, rb = [PWM(Pin(n), freq=1000, duty=0) for n in (25, 26, 27, 14)]
la.duty(1023)
ra.duty(1023)
steps = {True: (0.52, 0.30), False: (0.30, 0.52)}
lb.duty(570)
rb.duty(570)
while True:
    a, b, c, d = (eye.read() > 2250 for eye in eyes)
    if a and b and c and d:
        break
    if a + b + c + d < 3:
        if b == c and b:
            left = right = 0.45
        elif a or b:
            left, right = steps[False]
        elif c or d:
            left, right = steps[True]
        lb.duty(int(1023 * (1 - left)))
        rb.duty(int(1023 * (1 - right)))
    time.sleep_ms(10)
lb.duty(1023)
rb.duty(1023)
time.sleep_ms(500)
for pwm in (la, lb, ra, rb):
    pwm.duty(0)
