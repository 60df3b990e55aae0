# tune: MIDDLE middle 1440 1560
# A generator of pulses, one for each frame of 20 ms.
import time
from machine import PWM, Pin

MIDDLE = 1500
FRAMES = 50


def pulses():
    for _ in range(60):
        yield MIDDLE - 500
    for k in range(2 * FRAMES + 1):
        yield MIDDLE - 500 + 10 * k
    for _ in range(60):
        yield MIDDLE + 500
    for k in range(FRAMES + 1):
        yield MIDDLE + 500 - 10 * k


servo = PWM(Pin(18), freq=50, duty_ns=0)
for us in pulses():
    servo.duty_ns(int(us) * 1000)
    time.sleep_us(19900)
