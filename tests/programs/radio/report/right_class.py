import json
import time

import network
from machine import Pin, unique_id
from neopixel import NeoPixel
from umqtt.simple import MQTTClient


class Radio(MQTTClient):
    """A client that keeps what comes in a list, and reports."""

    def __init__(self, number):
        self.place = "harbour/tug-%d/" % number
        super().__init__("tug-%d" % number, "office")
        self.set_callback(lambda topic, msg: self.came.append(msg))
        self.came = []

    def open(self):
        self.connect()
        self.subscribe(self.place + "order", 1)

    def messages(self):
        while True:
            self.check_msg()
            while self.came:
                yield self.came.pop(0)
            time.sleep_ms(30)

    def tell(self, did, **more):
        parts = ['"did": "%s"' % did] + ['"%s": %s' % (k, json.dumps(v)) for k, v in more.items()]
        self.publish(self.place + "log", "{" + ", ".join(parts) + "}", qos=1)


def checked(msg):
    order = json.loads(msg)
    colour = order["lamps"]
    if set(order) - {"lamps", "number"} or len(colour) != 3:
        raise ValueError("not as agreed")
    if not isinstance(colour, list) or min(colour) < 0 or max(colour) > 255:
        raise ValueError("no colour")
    if any(type(part) is not int for part in colour):
        raise ValueError("whole numbers only")
    return order


wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)
chain = NeoPixel(Pin(13), 5)
radio = Radio(int.from_bytes(unique_id()[2:], "big"))
radio.open()
radio.tell("joined")
for msg in radio.messages():
    try:
        order = checked(msg)
    except (ValueError, KeyError, TypeError):
        radio.tell("refused", why="no order that I know")
        continue
    chain.fill(order["lamps"])
    chain.write()
    radio.tell("done", number=order["number"])
