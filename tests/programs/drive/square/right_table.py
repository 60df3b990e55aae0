# A table of moves with ticks instead of one long sleep.
# tune: MORE bend -12 12
# tune: T turn 300 1200
# tune: S side 1000 4500
import time
from machine import PWM, Pin

MORE = 0
T = 600
S = 2400

MOVES = [(45, 45, S), (0, 0, 120), (-45, 45, T), (0, 0, 120)] * 4
pins = [PWM(Pin(n), freq=1200, duty=1023) for n in (25, 26, 27, 14)]


def put(ahead, back, percent):
    ahead.duty(1023 if percent >= 0 else int(10.23 * (100 + percent)))
    back.duty(1023 if percent <= 0 else int(10.23 * (100 - percent)))


begun = time.ticks_ms()
due = 0
for left, right, ms in MOVES:
    put(pins[0], pins[1], left + MORE if left else 0)
    put(pins[2], pins[3], right - MORE if right else 0)
    due += ms
    while time.ticks_diff(time.ticks_ms(), begun) < due:
        time.sleep_ms(1)
for pwm in pins:
    pwm.deinit()
