import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

PINS = (25, 26, 27, 14)
BEAT = 1000


class Motors:
    def __init__(self):
        self.pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in PINS]
        self.left_ms = 0

    def set(self, duties):
        for pin, duty in zip(self.pins, duties):
            pin.duty_u16(duty)

    def stop(self):
        self.left_ms = 0
        self.set((0, 0, 0, 0))

    def go(self, speed, seconds):
        low = int(65535 * max(0, 0.83 - 1.9 * abs(speed)))
        self.set((65535, low) * 2 if speed > 0 else (low, 65535) * 2)
        self.left_ms = seconds * 1000

    def pass_time(self, ms):
        if self.left_ms > 0:
            self.left_ms -= ms
            if self.left_ms <= 0:
                self.stop()


class Link:
    """Network and broker: lost, or there."""

    def __init__(self, motors):
        self.motors = motors
        self.place = "harbour/tug-%d/" % int.from_bytes(unique_id()[2:], "big")
        self.wlan = network.WLAN()
        self.wlan.active(True)
        self.wlan.connect("harbour", "lighthouse")

    def open(self):
        client = MQTTClient(self.place[8:-1], "office", keepalive=3)
        client.set_last_will(self.place + "log", json.dumps({"did": "gone"}), qos=1)
        client.set_callback(self.heard)
        client.connect()
        client.subscribe(self.place + "order", 1)
        client.publish(self.place + "log", json.dumps({"did": "joined"}), qos=1)
        return client

    def heard(self, topic, msg):
        try:
            order = json.loads(msg)
            for name, value in order.items():
                limit = {"speed": 0.5, "seconds": 60, "number": 10 ** 9}[name]
                if type(value) not in (int, float) or abs(value) > limit:
                    raise ValueError(name)
            speed, seconds = order["speed"], order.get("seconds", 0)
            if speed and seconds <= 0:
                raise ValueError("for ever")
        except (ValueError, KeyError, AttributeError) as fault:
            print("refused", repr(fault))
            return
        self.motors.stop()
        if speed:
            self.motors.go(speed, seconds)

    def rounds(self):
        """Serve until the link is lost."""
        if not self.wlan.isconnected():
            return
        client, beat = self.open(), 0
        while self.wlan.isconnected():
            client.check_msg()
            beat += 20
            if beat >= BEAT:
                beat = 0
                client.ping()
            yield client
            time.sleep_ms(20)


motors = Motors()
link = Link(motors)
while True:
    try:
        for _ in link.rounds():
            motors.pass_time(20)
    except OSError as fault:
        print("lost", fault)
    motors.stop()
    time.sleep_ms(300)
