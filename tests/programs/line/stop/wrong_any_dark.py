# criterion: It follows the line to the bar
# criterion: It stops at the bar
# mistake: stops short of the bar
# A timer steers; the main line waits for its word and puts the motors off.
import time
from machine import ADC, PWM, Pin, Timer

eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
pwms = [PWM(Pin(n), freq=1000, duty=0) for n in (25, 26, 27, 14)]
state = {"low": [4095] * 4, "high": [0] * 4, "error": 0, "bar": False, "learn": True}


def run(left, right):
    for ahead, back, value in ((pwms[0], pwms[1], left), (pwms[2], pwms[3], right)):
        value = max(-1023, min(1023, int(value)))
        ahead.duty(min(1023, 1023 + value))
        back.duty(min(1023, 1023 - value))


def tick(timer):
    counts = [eye.read() for eye in eyes]
    if state["learn"]:
        state["low"] = list(map(min, state["low"], counts))
        state["high"] = list(map(max, state["high"], counts))
        return
    if state["bar"]:
        return
    share = [(n - l) / (h - l) for n, l, h in zip(counts, state["low"], state["high"])]
    if max(share) > 0.55 and sum(share) > 1.5 and state["error"]:
        state["bar"] = True
        run(0, 0)
        return
    total = sum(share)
    if 0.4 < total < 2.2:
        state["error"] = (18 * share[0] + 6 * share[1] - 6 * share[2] - 18 * share[3]) / total
    turn = 28 * state["error"]
    run(470 - turn, 470 + turn)


clock = Timer(0, period=15, callback=tick)
for side, ms in ((-410, 340), (410, 680), (-410, 340)):
    run(side, -side)
    time.sleep_ms(ms)
state["learn"] = False
while not state["bar"]:
    time.sleep_ms(30)
clock.deinit()
time.sleep_ms(400)
for pwm in pwms:
    pwm.deinit()
