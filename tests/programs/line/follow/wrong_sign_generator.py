# criterion: It follows the wave to the stop bar
# mistake: correction with the wrong sign
# Coroutines: one yields where the line is, one turns that into efforts.
import time
from machine import ADC, PWM, Pin

ADCS = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
OUT = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]


def put(left, right):
    for k, e in ((0, left), (2, right)):
        e = max(-1.0, min(1.0, e))
        OUT[k].duty_u16(round(65535 * min(1, 1 + e)))
        OUT[k + 1].duty_u16(round(65535 * min(1, 1 - e)))


def counts():
    return [adc.read() for adc in ADCS]


def ranges():
    seen = []
    for spin, n in ((1, 34), (-1, 68), (1, 34)):
        put(-0.4 * spin, 0.4 * spin)
        for _ in range(n):
            seen.append(counts())
            time.sleep_ms(10)
    return [(min(column), max(column)) for column in zip(*seen)]


def positions(spans):
    position = 0.0
    while True:
        dark = [(c - lo) / (hi - lo) for c, (lo, hi) in zip(counts(), spans)]
        if min(dark) > 0.6:
            return
        if 0.4 < sum(dark) < 2.5:
            position = (3 * (dark[0] - dark[3]) + dark[1] - dark[2]) / sum(dark)
        yield position


def law(kp, kd):
    before = 0.0
    output = None
    while True:
        error = yield output
        output = kp * error + kd * (error - before)
        before = error


steer = law(0.3, 0.25)
next(steer)
for position in positions(ranges()):
    turn = steer.send(position)
    put(0.75 + turn, 0.75 - turn)
    time.sleep_ms(30)
put(0, 0)
