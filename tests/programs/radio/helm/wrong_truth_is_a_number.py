# criterion: It refuses bad orders
# mistake: a bad order was carried out
# tune: LEFT_REST left_rest 0 4
# tune: LEFT_GAIN left_gain 0 4
# tune: RIGHT_REST right_rest 0 4
# tune: RIGHT_GAIN right_gain 0 4
import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
TRACK = 0.092
LEFT_REST = 0.172
LEFT_GAIN = 1.744
RIGHT_REST = 0.184
RIGHT_GAIN = 1.974

left = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)


def wheel(motor, speed, rest, gain):
    """Turn a wheel at a speed in m/s, by slow decay."""
    ahead, back = motor
    if speed < 0:
        ahead, back = back, ahead
    effort = rest + gain * abs(speed) if speed else 0
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - min(effort, 1))))


def stop():
    for pwm in left + right:
        pwm.duty_u16(0)


def number(order, name, low, high, otherwise=None):
    if name not in order:
        return otherwise
    value = order[name]
    if not isinstance(value, (int, float)) or not low <= value <= high:
        raise ValueError("%s is a number from %s to %s" % (name, low, high))
    return value


def read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    for name in order:
        if name not in ("speed", "radius", "seconds"):
            raise ValueError("unknown name " + name)
    speed = number(order, "speed", -0.5, 0.5)
    seconds = number(order, "seconds", 0, 60, 0)
    radius = number(order, "radius", -100, 100)
    if speed is None or (speed and not seconds):
        raise ValueError("speed and seconds go together")
    if radius is not None and abs(radius) < 0.05:
        raise ValueError("the radius is too small")
    return speed, radius, seconds


until = None


def heard(topic, msg):
    global until
    try:
        speed, radius, seconds = read(msg)
    except ValueError as fault:
        print("refused:", fault)
        return
    print("obeyed:", msg)
    if not speed:
        stop()
        until = None
        return
    bend = TRACK / 2 / radius if radius else 0
    wheel(left, speed * (1 - bend), LEFT_REST, LEFT_GAIN)
    wheel(right, speed * (1 + bend), RIGHT_REST, RIGHT_GAIN)
    until = time.ticks_add(time.ticks_ms(), int(1000 * seconds))


wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)
client = MQTTClient(TUG, "office")
client.set_callback(heard)
client.connect()
client.subscribe(ORDER, 1)
while True:
    client.check_msg()
    if until is not None and time.ticks_diff(until, time.ticks_ms()) <= 0:
        stop()
        until = None
    time.sleep(0.02)
