# Half as bright as asked.
# criterion: It shows what good orders ask
# mistake: another colour than was asked
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


# Read orders, refuse what is none, show the rest; and listen without end.

def colour(msg):
    order = json.loads(msg)
    if not isinstance(order, dict) or list(order) != ["lamps"]:
        raise ValueError("an object with lamps")
    value = order["lamps"]
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError("three")
    for part in value:
        if type(part) is not int or not 0 <= part <= 255:
            raise ValueError("0 to 255")
    return tuple(v // 2 for v in value)


def heard(topic, msg):
    try:
        lamps.fill(colour(msg))
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
