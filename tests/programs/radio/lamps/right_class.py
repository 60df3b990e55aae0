import json
import time

import machine
import neopixel
import network
from umqtt.simple import MQTTClient


class Order:
    """A checked order for the lamps."""

    def __init__(self, msg):
        given = json.loads(msg.decode())
        assert isinstance(given, dict), "no object"
        self.colour = given.pop("lamps", None)
        assert not given, "too much"
        assert isinstance(self.colour, list), "no list"
        assert len(self.colour) == 3, "not three"
        assert all(type(c) is int and 0 <= c < 256 for c in self.colour), "no byte"


class Tug:
    def __init__(self):
        self.name = "tug-" + str(int.from_bytes(machine.unique_id()[2:], "big"))
        self.chain = neopixel.NeoPixel(machine.Pin(13), 5)
        self.radio = MQTTClient(self.name, "office", keepalive=30)
        self.radio.set_callback(self.heard)

    def heard(self, topic, msg):
        try:
            order = Order(msg)
        except (ValueError, AssertionError) as fault:
            print("no order")
            return
        for k in range(len(self.chain)):
            self.chain[k] = order.colour
        self.chain.write()

    def serve(self):
        wlan = network.WLAN(network.STA_IF)
        wlan.active(True)
        wlan.connect("harbour", "lighthouse")
        while wlan.status() != network.STAT_GOT_IP:
            time.sleep_ms(20)
        self.radio.connect()
        self.radio.subscribe("harbour/" + self.name + "/order", qos=1)
        while True:
            self.radio.wait_msg()


Tug().serve()
