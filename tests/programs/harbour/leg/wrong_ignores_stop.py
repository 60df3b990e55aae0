# criterion: It waits, and it stops when told to
# mistake: does not obey the order to stop
# Objects: the office, the hull, and a skipper whose states are methods.
import json
import time

import network
from machine import ADC, PWM, Pin, unique_id
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


class Eye:
    def __init__(self, pin):
        self.adc = ADC(Pin(pin), atten=ADC.ATTN_11DB)
        self.low, self.high = 4095, 0

    def learn(self):
        count = self.adc.read()
        self.low, self.high = min(self.low, count), max(self.high, count)

    def dark(self):
        share = (self.adc.read() - self.low) / (self.high - self.low)
        return 0 if share < 0 else 1 if share > 1 else share


class Skipper:
    def __init__(self):
        self.left, self.right = Motor(25, 26), Motor(27, 14)
        self.eyes = [Eye(pin) for pin in (36, 39, 34, 35)]
        self.left.off()
        self.right.off()
        self.office = Office()
        self.office.join()
        self.strokes, self.on_stroke, self.position = 0, False, 0.0
        self.side = 0.0
        self.state = self.waiting

    def go(self, left, right):
        self.left.effort(left)
        self.right.effort(right)

    def waiting(self, order):
        if order and order["speed"]:
            self.number = order.get("number")
            self.office.tell(did="started", number=self.number)
            self.end = time.ticks_add(time.ticks_ms(), int(order["seconds"] * 1000))
            if not self.eyes[0].high:
                self.learn()
            self.state = self.following

    def learn(self):
        for way, rounds in ((1, 35), (-1, 70), (1, 35)):
            self.go(-0.4 * way, 0.4 * way)
            for _ in range(rounds):
                for eye in self.eyes:
                    eye.learn()
                time.sleep_ms(10)

    def following(self, order):
        dark = [eye.dark() for eye in self.eyes]
        wide = sum(dark) > 2.2
        self.strokes += wide and not self.on_stroke
        self.on_stroke = wide
        if wide and self.strokes == 1:
            self.side += dark[0] - dark[3]
        if self.strokes > 1 and min(dark) > 0.5:
            self.go(0, 0)
            time.sleep_ms(250)
            self.arrive()
        elif time.ticks_diff(self.end, time.ticks_ms()) <= 0:
            self.halt(self.number)
        else:
            self.steer(dark, wide)

    def steer(self, dark, wide):
        before = self.position
        if sum(dark) < 0.3:
            self.position = 24.0 if before > 0 else -24.0
        elif not wide:
            weighed = zip((18, 6, -6, -18), dark)
            self.position = sum(place * share for place, share in weighed) / sum(dark)
        turn = 0.035 * self.position + 0.06 * (self.position - before)
        self.go(0.5 - turn, 0.5 + turn)

    def arrive(self):
        self.left.off()
        self.right.off()
        self.office.tell(did="done", number=self.number)
        self.state = self.resting

    def resting(self, order):
        pass

    def halt(self, number):
        self.go(0, 0)
        self.office.tell(did="stopped", number=number)
        self.state = self.waiting

    def serve(self):
        while True:
            order = self.office.listen()
            if order and not order["speed"]:
                self.office.tell(did="stopped", number=order.get("number"))
            self.state(order)
            time.sleep_ms(15)


Skipper().serve()
