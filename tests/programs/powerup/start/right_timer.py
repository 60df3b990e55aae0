# A timer looks at the bumper; the main line only says what is next.
from machine import PWM, Pin, Timer

motors = [PWM(Pin(n), freq=800, duty=0) for n in (25, 26, 27, 14)]

import time
from neopixel import NeoPixel

chain = NeoPixel(Pin(13), 5)
switch = Pin(19, Pin.IN, Pin.PULL_UP)
state = {"met": False, "effort": 0, "lit": False}


def deck(r, g, b):
    chain[4] = (r, g, b)
    chain.write()


def off():
    for pwm in motors:
        pwm.duty(0)


def tick(timer):
    if not switch():
        state["met"] = True
    if state["met"]:
        off()
        timer.deinit()
        return
    state["effort"] = min(state["effort"] + 10, 430)
    for ahead, back in ((motors[0], motors[1]), (motors[2], motors[3])):
        ahead.duty(1023)
        back.duty(1023 - state["effort"])


def blink(timer):
    state["lit"] = not state["lit"]
    deck(*((90, 40, 0) if state["lit"] else (0, 0, 0)))


deck(90, 40, 0)
time.sleep(3)
deck(50, 50, 50)
clock = Timer(0)
clock.init(period=20, mode=Timer.PERIODIC, callback=tick)
for _ in range(200):
    if state["met"]:
        break
    time.sleep_ms(10)
clock.deinit()
off()
if state["met"]:
    Timer(1).init(period=240, mode=Timer.PERIODIC, callback=blink)
    while True:
        time.sleep(1)
deck(0, 0, 0)
