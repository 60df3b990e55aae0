# A generator raises the duties bit by bit and then holds them.
# tune: TOP_LEFT left_start 10 30
# tune: TOP_RIGHT right_start 10 30
import time
from machine import Pin, PWM

TOP_LEFT = 20
TOP_RIGHT = 20


def steps():
    for percent in range(8, max(TOP_LEFT, TOP_RIGHT) + 1):
        yield min(percent, TOP_LEFT), min(percent, TOP_RIGHT), 40
    yield TOP_LEFT, TOP_RIGHT, 2300
    yield 0, 0, 100


pins = [PWM(Pin(n), freq=500, duty_u16=65535) for n in (25, 26, 27, 14)]
for left, right, ms in steps():
    print(left, "%", right, "%")
    pins[1].duty_u16(65535 * (100 - left) // 100)
    pins[3].duty_u16(65535 * (100 - right) // 100)
    time.sleep_ms(ms)
for pin in pins:
    pin.deinit()
