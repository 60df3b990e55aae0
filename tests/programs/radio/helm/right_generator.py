# Each order is a generator that is asked for its next step; it stops by braking, then switches off.
# tune: LEFT_REST left_rest 0 4
# tune: LEFT_GAIN left_gain 0 4
# tune: RIGHT_REST right_rest 0 4
# tune: RIGHT_GAIN right_gain 0 4
import time

import ujson
from machine import PWM, Pin, unique_id
from network import WLAN
from umqtt.simple import MQTTClient

LEFT_REST = 0.172
LEFT_GAIN = 1.744
RIGHT_REST = 0.184
RIGHT_GAIN = 1.974
pins = {n: PWM(Pin(n), freq=1000, duty=0) for n in (25, 26, 27, 14)}
rules = {"speed": lambda v: abs(v) <= 0.5, "radius": lambda v: 0.05 <= abs(v) <= 100,
         "seconds": lambda v: 0 <= v <= 60}


def roll(ahead, back, speed, rest, gain):
    if speed < 0:
        ahead, back = back, ahead
    pins[ahead].duty(1023)
    pins[back].duty(1023 - round(1023 * (rest + gain * abs(speed))) if speed else 1023)


def both(speed, bend):
    roll(25, 26, speed * (1 - 0.046 * bend), LEFT_REST, LEFT_GAIN)
    roll(27, 14, speed * (1 + 0.046 * bend), RIGHT_REST, RIGHT_GAIN)


def rest():
    both(0, 0)
    begun = time.ticks_ms()
    while time.ticks_diff(time.ticks_ms(), begun) < 300:
        yield
    for pwm in pins.values():
        pwm.duty(0)
    while True:
        yield


def carry_out(speed, radius=None, seconds=0):
    begun = time.ticks_ms()
    both(speed, 1 / radius if radius else 0)
    while time.ticks_diff(time.ticks_ms(), begun) < 1000 * seconds:
        yield
    yield from rest()


def understood(text):
    try:
        order = ujson.loads(text)
    except ValueError:
        return None
    if type(order) is not dict or "speed" not in order:
        return None
    for name in order:
        value = order[name]
        if name not in rules or type(value) not in (int, float) or not rules[name](value):
            return None
    return order if order["speed"] == 0 or order.get("seconds", 0) > 0 else None


now = rest()


def heard(topic, text):
    global now
    order = understood(text)
    if order:
        now = carry_out(**order)


station = WLAN(WLAN.IF_STA)
station.active(True)
station.connect("harbour", "lighthouse")
while not station.isconnected():
    time.sleep_ms(200)
number = int.from_bytes(unique_id()[2:], "big")
link = MQTTClient("tug-%d" % number, "office")
link.set_callback(heard)
link.connect()
link.subscribe(b"harbour/tug-%d/order" % number, 1)
while True:
    link.check_msg()
    next(now)
    time.sleep_ms(15)
