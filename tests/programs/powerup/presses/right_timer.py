# A timer samples the switch every 20 ms, which is longer than it bounces.
from machine import PWM, Pin, Timer

pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]

import time
from neopixel import NeoPixel

chain = NeoPixel(Pin(13), 5)
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
seen = {"level": 1, "count": 0}


def sample(timer):
    level = bumper.value()
    if seen["level"] and not level:
        seen["count"] += 1
    seen["level"] = level


def go(effort):
    for k in (0, 2):
        a, b = (pins[k], pins[k + 1]) if effort > 0 else (pins[k + 1], pins[k])
        a.duty_u16(65535)
        b.duty_u16(65535 - abs(effort))


Timer(2).init(period=8, mode=Timer.PERIODIC, callback=sample)
shown = 0
while shown < 5:
    go(25000)
    time.sleep_ms(5)
    if seen["count"] > shown:
        go(-26000)
        chain[shown] = (40, 40, 0)
        chain.write()
        shown += 1
        time.sleep_ms(420)
Timer(2).deinit()
for pwm in pins:
    pwm.duty_u16(0)
