import json
import time

import network
from machine import unique_id
from umqtt.robust import MQTTClient
import tug

tug.stop()
name = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
inbox = []
wlan = network.WLAN(network.STA_IF)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.2)
client = MQTTClient(name, "office", keepalive=60)
client.DEBUG = False
client.set_callback(lambda t, m: inbox.append(m))
client.set_last_will("harbour/%s/log" % name, '{"did": "gone"}', False, 1)
client.connect()
client.subscribe("harbour/%s/order" % name, 1)


def tell(**what):
    client.publish("harbour/%s/log" % name, json.dumps(what), qos=1)


def good(order):
    if not isinstance(order, dict) or set(order) - {"speed", "seconds", "number"}:
        return False
    if not all(type(v) in (int, float) for v in order.values()) or "speed" not in order:
        return False
    if abs(order["speed"]) > 0.5 or not 0 <= order.get("seconds", 0) <= 60:
        return False
    return order["speed"] == 0 or order.get("seconds", 0) > 0


tell(did="joined")
doing = None
while True:
    client.check_msg()
    if inbox:
        try:
            order = json.loads(inbox.pop(0))
        except ValueError:
            order = None
        if not good(order):
            tell(did="refused", why="that is no order")
        elif order["speed"] == 0:
            tug.stop()
            doing = None
            tell(did="stopped", number=order.get("number"))
        elif not doing:
            doing = order.get("number"), time.ticks_ms(), order["seconds"] * 1000
            tug.drive(0.4, 0.4)
            tell(did="started", number=doing[0])
    if doing and time.ticks_diff(time.ticks_ms(), doing[1]) >= doing[2]:
        tug.stop()
        tell(did="done", number=doing[0])
        doing = None
    time.sleep_ms(30)
