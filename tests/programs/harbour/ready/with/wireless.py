import json
import time

import network
from machine import unique_id
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
LOG = "harbour/%s/log" % TUG
_waiting = []
_pinged = 0


def join():
    """Join the network and the broker, and subscribe to the orders; takes about 2 s."""
    wlan = network.WLAN(network.WLAN.IF_STA)
    wlan.active(True)
    wlan.connect("harbour", "lighthouse")
    while not wlan.isconnected():
        time.sleep(0.1)
    _client.set_callback(lambda topic, msg: _waiting.append(msg))
    _client.set_last_will(LOG, '{"did": "gone"}', qos=1)
    _client.connect()
    _client.subscribe(ORDER, 1)


def report(did, number=None, why=None):
    """Tell the office what was done, for instance report("started", 12)."""
    what = {"did": did}
    if number is not None:
        what["number"] = number
    if why is not None:
        what["why"] = why
    _client.publish(LOG, json.dumps(what), qos=1)


def next_order():
    """Give the next good order as a dict, or None; refuses bad ones. Never waits."""
    global _pinged
    now = time.ticks_ms()
    if time.ticks_diff(now, _pinged) > 3000:
        _client.ping()
        _pinged = now
    _client.check_msg()
    while _waiting:
        try:
            return _read(_waiting.pop(0))
        except ValueError as fault:
            report("refused", why=str(fault))
    return None


def _read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    for name in order:
        if name not in ("speed", "seconds", "number"):
            raise ValueError("unknown name " + name)
        if type(order[name]) not in (int, float):
            raise ValueError(name + " is a number")
    number = order.get("number", 0)
    if type(number) is not int or number < 0:
        raise ValueError("number is a whole number from 0 on")
    speed, seconds = order.get("speed", 9), order.get("seconds", 0)
    if not 0 <= speed <= 0.5 or not 0 <= seconds <= 60 or (speed and not seconds):
        raise ValueError("speed and seconds within their limits")
    return order


_client = MQTTClient(TUG, "office", keepalive=10)
