# What is asked of an order stands in one expression; the callback is an expression, too.
import json
from time import sleep_ms

from machine import Pin, unique_id
from neopixel import NeoPixel
from network import WLAN
from umqtt.simple import MQTTClient

me = "tug-" + str(unique_id()[2] << 24 | unique_id()[3] << 16 | unique_id()[4] << 8 | unique_id()[5])
np = NeoPixel(Pin(13, Pin.OUT), 5)


def data(message):
    try:
        return json.loads(message)
    except ValueError:
        return None


is_colour = lambda c: type(c) is list and [type(v) is int and v in range(256) for v in c] == [True] * 3
is_order = lambda d: type(d) is dict and set(d) == {"lamps"} and is_colour(d["lamps"])


def hear(topic, message):
    order = data(message)
    if not is_order(order):
        return
    for lamp in range(5):
        np[lamp] = tuple(order["lamps"])
    np.write()


wlan = WLAN()
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    sleep_ms(10)
radio = MQTTClient(me + "-radio", "office", 1883)
radio.set_callback(hear)
radio.connect()
radio.subscribe("harbour/{}/order".format(me), qos=1)
while True:
    radio.check_msg()
    sleep_ms(100)
