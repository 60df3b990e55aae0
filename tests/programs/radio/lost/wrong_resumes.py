# Goes on with the old order once it is back.
# criterion: It stops when the network is lost
# mistake: goes on with the old order
import json
import time

import network
from machine import PWM, Pin, unique_id
from umqtt.simple import MQTTClient

TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
LOG = "harbour/%s/log" % TUG

left = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
until = None  # when the order is over, in ticks_ms


def drive(speed):
    for motor in (left, right):
        ahead, back = motor
        if speed < 0:
            ahead, back = back, ahead
        ahead.duty_u16(65535)
        back.duty_u16(int(65535 * (1 - min(0.17 + 1.9 * abs(speed), 1))))


def stop():
    global until
    until = None
    for pwm in left + right:
        pwm.duty_u16(0)


def read(msg):
    order = json.loads(msg)
    if not isinstance(order, dict):
        raise ValueError("an order is an object")
    for name in order:
        if name not in ("speed", "seconds", "number"):
            raise ValueError("unknown name " + name)
        if type(order[name]) not in (int, float):
            raise ValueError(name + " is a number")
    speed, seconds = order.get("speed", 9), order.get("seconds", 0)
    if not -0.5 <= speed <= 0.5 or not 0 <= seconds <= 60 or (speed and not seconds):
        raise ValueError("speed and seconds within their limits")
    return speed, seconds


def heard(topic, msg):
    global until
    try:
        speed, seconds = read(msg)
    except ValueError as fault:
        print("refused:", fault)
        return
    print("obeyed:", msg)
    if speed:
        drive(speed)
        until = time.ticks_add(time.ticks_ms(), int(1000 * seconds))
    else:
        stop()


# Join, connect, obey; stop when the link is lost, and begin again.

wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
client = MQTTClient(TUG, "office", keepalive=4)
client.set_callback(heard)
client.set_last_will(LOG, json.dumps({"did": "gone"}), qos=1)


def online():
    while not wlan.isconnected():
        time.sleep(0.1)
    client.connect()
    client.subscribe(ORDER, 1)
    client.publish(LOG, json.dumps({"did": "joined"}), qos=1)


while True:
    try:
        online()
        if until: drive(0.1)
        pinged = time.ticks_ms()
        while True:
            client.check_msg()
            if not wlan.isconnected():
                raise OSError("the network is gone")
            now = time.ticks_ms()
            if until is not None and time.ticks_diff(until, now) <= 0:
                stop()
            if time.ticks_diff(now, pinged) > 1500:
                client.ping()
                pinged = now
            time.sleep(0.02)
    except OSError as fault:
        keep = until
        [p.duty_u16(0) for p in left+right]
        print("lost:", fault)
        time.sleep(0.5)
