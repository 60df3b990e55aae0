# What to do for each of the sixteen things that four eyes can see, looked up in a table.
from machine import ADC, PWM, Pin
import time

AHEAD, PORT, STAR = (0.5, 0.5), (0.3, 0.7), (0.7, 0.3)
TODO = {0b0110: AHEAD, 0b0100: PORT, 0b1100: PORT, 0b1000: PORT, 0b1110: PORT,
        0b0010: STAR, 0b0011: STAR, 0b0001: STAR, 0b0111: STAR}
eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
out = [PWM(Pin(n), freq=2000, duty_u16=0) for n in (25, 26, 27, 14)]


def look():
    bits = 0
    for eye in eyes:
        bits = bits << 1 | (eye.read_uv() > 1700000)
    return bits


def act(pair):
    for k, effort in enumerate(pair):
        out[2 * k].duty_u16(65535)
        out[2 * k + 1].duty_u16(int(65535 - 65535 * effort))


now = AHEAD
for _ in range(900):
    now = TODO.get(look(), now)
    act(now)
    time.sleep_ms(30)
act((0, 0))
time.sleep_ms(200)
[pwm.duty_u16(0) for pwm in out]
