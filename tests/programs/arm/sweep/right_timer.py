# tune: ZERO middle 1440 1560
# A timer calls once a frame; a table says what comes when.
from machine import Pin, PWM, Timer
import time

ZERO = 1500
TABLE = ((0, -45), (70, -45), (170, 45), (240, 45), (290, 0), (330, 0))  # frame, degrees
pwm = PWM(Pin(18), freq=50, duty_u16=0)
now = {"frame": 0}


def frame(_):
    k = now["frame"]
    now["frame"] = k + 1
    for (a, x), (b, y) in zip(TABLE, TABLE[1:]):
        if a <= k <= b:
            angle = x + (y - x) * (k - a) / (b - a)
            pwm.duty_u16(round((ZERO + angle / 0.09) / 20000 * 65535))


timer = Timer(2)
timer.init(mode=Timer.PERIODIC, period=20, callback=frame)
while now["frame"] < 330:
    time.sleep_ms(50)
timer.deinit()
