# criterion: It refuses bad orders
# mistake: the program stopped with an error
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
    if not isinstance(order, dict) or list(order) != ["lamps"]:
        raise ValueError("an order has lamps and nothing else")
    value = order["lamps"]
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("lamps is a list of three")
    for part in value:
        if not 0 <= part <= 255:
            raise ValueError("each part is a whole number from 0 to 255")
    return tuple([int(part) for part in value])


def heard(topic, msg):
    try:
        lamps.fill(colour(msg))
        lamps.write()
        print("shown:", msg)
    except ValueError as fault:
        print("refused:", fault)


client = MQTTClient(TUG, "office")
client.set_callback(heard)
client.connect()
client.subscribe(ORDER, 1)
while True:
    client.check_msg()
    time.sleep(0.05)
