# Looks once a second.
# criterion: It reports what it has done
# mistake: messages wait too long
import json
import time

import network
from machine import Pin, unique_id
from neopixel import NeoPixel
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
LOG = "harbour/%s/log" % TUG
lamps = NeoPixel(Pin(13), 5)

wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)


def read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    for name in order:
        if name not in ("lamps", "number"):
            raise ValueError("unknown name " + name)
    value = order.get("lamps")
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("lamps is a list of three")
    for part in value:
        if type(part) is not int or not 0 <= part <= 255:
            raise ValueError("each part is a whole number from 0 to 255")
    return tuple(value), order.get("number")


# Report that you have joined; then every order: done with its number, or refused with the reason.

waiting = []


def heard(topic, msg):
    waiting.append(msg)


def report(**what):
    client.publish(LOG, json.dumps(what), qos=1)


client = MQTTClient(TUG, "office")
client.set_callback(heard)
client.connect()
client.subscribe(ORDER, 1)
report(did="joined")
while True:
    client.check_msg()
    while waiting:
        try:
            colour, number = read(waiting.pop(0))
            lamps.fill(colour)
            lamps.write()
            report(did="done", number=number)
        except ValueError as fault:
            report(did="refused", why=str(fault))
    time.sleep(1)
