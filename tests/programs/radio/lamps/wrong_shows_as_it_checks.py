# criterion: It refuses bad orders
# mistake: a bad order was carried out
import json
import time

import network
from machine import Pin, unique_id
from neopixel import NeoPixel
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
lamps = NeoPixel(Pin(13), 5)

wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)


def colour(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("not an object")
    if list(order) != ["lamps"]:
        raise ValueError("wants lamps and nothing else")
    rgb = order["lamps"]
    if not isinstance(rgb, list) or len(rgb) != 3:
        raise ValueError("lamps wants three numbers")
    return tuple(rgb)


def heard(topic, msg):
    try:
        rgb = colour(msg)
        for k in range(3):
            if type(rgb[k]) is not int or not 0 <= rgb[k] <= 255:
                raise ValueError("part out of range")
            for lamp in range(5):
                parts = list(lamps[lamp])
                parts[k] = rgb[k]
                lamps[lamp] = tuple(parts)
            lamps.write()
    except ValueError as fault:
        print("refused:", fault)


client = MQTTClient(TUG, "office")
client.set_callback(heard)
client.connect()
client.subscribe(ORDER, 1)
while True:
    client.check_msg()
    time.sleep(0.05)
