# A generator gives the duties, rising softly, then steady, then falling.
# tune: INSIDE radius 20 55
# tune: STEADY half 100 800
from machine import Pin, PWM
import time

INSIDE = 40
OUTSIDE = 55
STEADY = 380


def course():
    for part in (40, 60, 80):
        yield part, 5
    yield 100, STEADY
    for part in (80, 60):
        yield part, 5
    yield 0, 20


pwms = [PWM(Pin(n), freq=1000, duty=1023) for n in (25, 26, 27, 14)]
for part, hundredths in course():
    pwms[1].duty(1023 - int(0.1023 * part * INSIDE))
    pwms[3].duty(1023 - int(0.1023 * part * OUTSIDE))
    time.sleep(hundredths / 100)
for pwm in pwms:
    pwm.deinit()
