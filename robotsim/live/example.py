"""Example: the program that runs where a learner brings none; it obeys orders and reports."""

from __future__ import annotations

__all__ = ["EXAMPLE", "EXAMPLE_NAME"]

EXAMPLE_NAME = "obey.py"
EXAMPLE = '''\
"""Obeys the office: drives at the speed and on the radius of an order, shows its lamps, reports."""
import json
import time

import network
from machine import PWM, Pin, unique_id
from neopixel import NeoPixel
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER, LOG = "harbour/%s/order" % TUG, "harbour/%s/log" % TUG
NAMES = ("speed", "radius", "seconds", "lamps", "number")
TRACK = 0.092
REST, GAIN = 0.16, 1.9

left = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
lamps = NeoPixel(Pin(13), 5)
waiting = []
until = running = None


def wheel(motor, speed):
    ahead, back = motor if speed >= 0 else (motor[1], motor[0])
    effort = min(REST + GAIN * abs(speed), 1) if speed else 0
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - effort)))


def stop():
    global until
    until = None
    for pwm in left + right:
        pwm.duty_u16(0)


def number(order, name, low, high, otherwise=None):
    value = order.get(name, otherwise)
    if name in order and (type(value) not in (int, float) or not low <= value <= high):
        raise ValueError("%s is a number from %s to %s" % (name, low, high))
    return value


def colours(value):
    given = value if value and isinstance(value[0], list) else [value] * 5
    if len(given) != 5:
        raise ValueError("lamps: one colour or five")
    for colour in given:
        if len(colour) != 3 or [c for c in colour if type(c) is not int or not 0 <= c <= 255]:
            raise ValueError("a colour is three whole numbers from 0 to 255")
    return given


def obey(order):
    """Carry an order out; give whether it goes on for a while."""
    global until
    if not isinstance(order, dict) or [name for name in order if name not in NAMES]:
        raise ValueError("not an order")
    speed = number(order, "speed", -0.5, 0.5)
    radius = number(order, "radius", -100, 100)
    seconds = number(order, "seconds", 0, 60, 0)
    if "lamps" in order:
        for place, colour in enumerate(colours(order["lamps"])):
            lamps[place] = colour
        lamps.write()
    if speed is None:
        return False
    if not speed or not seconds:
        stop()
        return False
    bend = TRACK / 2 / radius if radius else 0
    wheel(left, speed * (1 - bend))
    wheel(right, speed * (1 + bend))
    until = time.ticks_add(time.ticks_ms(), int(1000 * seconds))
    return True


def report(did, order=None, why=None):
    told = {"did": did}
    if isinstance(order, dict) and "number" in order:
        told["number"] = order["number"]
    if why is not None:
        told["why"] = why
    client.publish(LOG, json.dumps(told), qos=1)


def serve():
    global running
    pinged = time.ticks_ms()
    while True:
        if not wlan.isconnected():
            raise OSError("the network is gone")
        client.check_msg()
        while waiting:
            order = None
            try:
                order = json.loads(waiting.pop(0))
                goes_on = obey(order)
                report("started" if goes_on else "done", order)
                running = order if goes_on else running
            except (ValueError, TypeError) as fault:
                report("refused", order, why=str(fault))
        now = time.ticks_ms()
        if until is not None and time.ticks_diff(until, now) <= 0:
            stop()
            report("done", running)
        if time.ticks_diff(now, pinged) > 1500:
            client.ping()
            pinged = now
        time.sleep_ms(10)


stop()
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
client = MQTTClient(TUG, "office", keepalive=4)
client.set_callback(lambda topic, message: waiting.append(message))
client.set_last_will(LOG, '{"did": "gone"}', qos=1)
while True:
    try:
        while not wlan.isconnected():
            time.sleep_ms(50)
        client.connect()
        client.subscribe(ORDER, 1)
        report("joined")
        serve()
    except OSError as fault:
        stop()
        print("lost:", fault)
        time.sleep_ms(300)
'''
