# criterion: It sets off on an order
# mistake: orders to go are not carried out
import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

LEFT = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
RIGHT = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
LOG = "harbour/%s/log" % TUG

waiting = []


def motor(pair, effort):
    effort = max(-1, min(1, effort))
    ahead, back = pair if effort >= 0 else (pair[1], pair[0])
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - abs(effort))))


def drive(left, right):
    motor(LEFT, left)
    motor(RIGHT, right)


def stop():
    for pwm in LEFT + RIGHT:
        pwm.duty_u16(0)


def read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    for name in order:
        if name not in ("speed", "seconds", "number"):
            raise ValueError("unknown name " + name)
        if type(order[name]) not in (int, float):
            raise ValueError(name + " is a number")
    speed, seconds = order.get("speed", 9), order.get("seconds", 0)
    if not -0.5 <= speed <= 0.5 or not 0 <= seconds <= 60 or (speed and not seconds):
        raise ValueError("speed and seconds within their limits")
    return order


def report(did, number=None, why=None):
    what = {"did": did}
    if number is not None:
        what["number"] = number
    if why is not None:
        what["why"] = why
    client.publish(LOG, json.dumps(what), qos=1)


def next_order():
    client.check_msg()
    while waiting:
        try:
            return read(waiting.pop(0))
        except ValueError as fault:
            report("refused", why=str(fault))
    return None


stop()
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)
client = MQTTClient(TUG, "office", keepalive=10)
client.set_callback(lambda topic, msg: waiting.append(msg))
client.set_last_will(LOG, '{"did": "gone"}', qos=1)
client.connect()
client.subscribe(ORDER, 1)
report("joined")

state, number = "waiting", 0
pinged = until = time.ticks_ms()
while True:
    order = next_order()
    now = time.ticks_ms()
    if order and order["speed"] == 0:
        stop()
        report("stopped", number=order.get("number"))
        state = "waiting"
    elif order and state == "waiting":
        number = order.get("number")
        until = time.ticks_add(now, int(1000 * order["seconds"]))
        report("started", number=number)
        state = "driving"
    if state == "driving" and time.ticks_diff(until, now) <= 0:
        stop()
        report("done", number=number)
        state = "waiting"
    if time.ticks_diff(now, pinged) > 3000:
        client.ping()
        pinged = now
    time.sleep_ms(20)
