# tune: LEFT_REST left_rest 0 4
# tune: LEFT_GAIN left_gain 0 4
# tune: RIGHT_REST right_rest 0 4
# tune: RIGHT_GAIN right_gain 0 4
import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

LEFT_REST = 0.172
LEFT_GAIN = 1.744
RIGHT_REST = 0.184
RIGHT_GAIN = 1.974


class Wheel:
    def __init__(self, ahead, back, rest, gain):
        self.pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (ahead, back)]
        self.rest, self.gain = rest, gain

    def turn(self, speed):
        high, low = self.pins if speed >= 0 else reversed(self.pins)
        high.duty_u16(65535)
        low.duty_u16(round(65535 * (1 - self.rest - self.gain * abs(speed))))

    def stop(self):
        for pin in self.pins:
            pin.duty_u16(0)


class Way:
    LIMITS = {"speed": 0.5, "radius": 100, "seconds": 60}

    def __init__(self, text):
        given = json.loads(text)
        if not isinstance(given, dict) or "speed" not in given:
            raise ValueError("not an order")
        for name, value in given.items():
            if name not in self.LIMITS or type(value) not in (int, float):
                raise ValueError("not understood: " + name)
            if not -self.LIMITS[name] <= value <= self.LIMITS[name]:
                raise ValueError("too much: " + name)
        self.speed, self.seconds = given["speed"], given.get("seconds", 0)
        if abs(given.get("radius", 1)) < 0.05:
            raise ValueError("too tight")
        self.bend = 1 / given["radius"] if "radius" in given else 0
        if self.speed and self.seconds <= 0:
            raise ValueError("for ever")


class Tug:
    def __init__(self):
        self.left = Wheel(25, 26, LEFT_REST, LEFT_GAIN)
        self.right = Wheel(27, 14, RIGHT_REST, RIGHT_GAIN)
        self.end = 0
        self.moving = False

    def heard(self, topic, msg):
        try:
            way = Way(msg)
        except ValueError as fault:
            print(fault)
            return
        self.stop()
        if way.speed:
            self.moving, self.end = True, time.ticks_ms() + way.seconds * 1000
            self.left.turn(way.speed * (1 - 0.046 * way.bend))
            self.right.turn(way.speed * (1 + 0.046 * way.bend))

    def stop(self):
        self.moving = False
        self.left.stop()
        self.right.stop()

    def look(self):
        if self.moving and time.ticks_ms() >= self.end:
            self.stop()


tug = Tug()
number = int.from_bytes(unique_id()[2:], "big")
wlan = network.WLAN()
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
client = MQTTClient("helm", "office")
client.set_callback(tug.heard)
client.connect()
client.subscribe("harbour/tug-{}/order".format(number))
while True:
    client.check_msg()
    tug.look()
    time.sleep_ms(10)
