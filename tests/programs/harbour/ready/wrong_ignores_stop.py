# criterion: It waits for its orders
# mistake: does not obey the order to stop
# Objects: the office, the hull, and a skipper whose states are methods.
import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient


class Office:
    def __init__(self):
        self.name = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
        self.client = MQTTClient(self.name, "office", keepalive=10)
        self.inbox = []
        self.pinged = time.ticks_ms()

    def topic(self, what):
        return "harbour/%s/%s" % (self.name, what)

    def join(self):
        station = network.WLAN(network.WLAN.IF_STA)
        station.active(True)
        station.connect("harbour", "lighthouse")
        while not station.isconnected():
            time.sleep_ms(50)
        self.client.set_callback(lambda topic, text: self.inbox.append(text))
        self.client.set_last_will(self.topic("log"), '{"did": "gone"}', qos=1)
        self.client.connect()
        self.client.subscribe(self.topic("order"), 1)
        self.tell(did="joined")

    def tell(self, **what):
        self.client.publish(self.topic("log"), json.dumps(what), qos=1)

    def listen(self):
        if time.ticks_diff(time.ticks_ms(), self.pinged) > 2500:
            self.client.ping()
            self.pinged = time.ticks_ms()
        self.client.check_msg()
        if not self.inbox:
            return None
        try:
            return self.read(json.loads(self.inbox.pop(0)))
        except (ValueError, KeyError, TypeError) as fault:
            self.tell(did="refused", why="no order: %s" % fault)
            return None

    def read(self, order):
        if type(order) is not dict or set(order) - {"speed", "seconds", "number"}:
            raise ValueError("names")
        for value in order.values():
            if type(value) not in (int, float):
                raise ValueError("numbers")
        if abs(order["speed"]) > 0.5 or (order["speed"] and not 0 < order["seconds"] <= 60):
            raise ValueError("limits")
        return order


class Motor:
    def __init__(self, ahead, back):
        self.pins = PWM(Pin(ahead), freq=1000, duty_u16=0), PWM(Pin(back), freq=1000, duty_u16=0)

    def effort(self, value):
        on, pulsed = self.pins if value >= 0 else reversed(self.pins)
        on.duty_u16(65535)
        pulsed.duty_u16(int(65535 * (1 - min(abs(value), 1))))

    def off(self):
        for pin in self.pins:
            pin.duty_u16(0)


class Skipper:
    def __init__(self):
        self.left, self.right = Motor(25, 26), Motor(27, 14)
        self.halt()
        self.office = Office()
        self.office.join()
        self.state = self.waiting

    def halt(self):
        self.left.off()
        self.right.off()

    def waiting(self, order):
        if not order or not order["speed"]:
            return
        self.left.effort(0.45)
        self.right.effort(0.45)
        self.number = order.get("number")
        self.end = time.ticks_add(time.ticks_ms(), int(order["seconds"] * 1000))
        self.office.tell(did="started", number=self.number)
        self.state = self.under_way

    def under_way(self, order):
        if time.ticks_diff(self.end, time.ticks_ms()) <= 0:
            self.halt()
            self.office.tell(did="done", number=self.number)
            self.state = self.waiting

    def serve(self):
        while True:
            order = self.office.listen()
            if order and not order["speed"]:
                self.office.tell(did="stopped", number=order.get("number"))
            self.state(order)
            time.sleep_ms(15)


Skipper().serve()
