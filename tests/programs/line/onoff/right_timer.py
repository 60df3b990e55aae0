# A timer steers; the main line only waits.
import time
from machine import ADC, PWM, Pin, Timer

eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
la, lb, ra, rb = (PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14))
la.duty_u16(65535)
ra.duty_u16(65535)
FAST, SLOW = int(65535 * 0.35), int(65535 * 0.75)
last = 1


def steer(timer):
    global last
    see = [1 if eye.read() > 2200 else 0 for eye in eyes]
    lean = 2 * see[0] + see[1] - see[2] - 2 * see[3]
    if lean:
        last = lean
    lb.duty_u16(SLOW if last > 0 else FAST)
    rb.duty_u16(FAST if last > 0 else SLOW)


pace = Timer(2, freq=40, callback=steer)
time.sleep(28)
pace.deinit()
for pwm in (la, lb, ra, rb):
    pwm.deinit()
