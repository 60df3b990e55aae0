# criterion: It is quick
# mistake: slow on the line
import json
import time

import network
from machine import ADC, PWM, Pin, unique_id
from umqtt.simple import MQTTClient

LEFT = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
RIGHT = PWM(Pin(27), freq=1000, duty_u16=0), PWM(Pin(14), freq=1000, duty_u16=0)
EYES = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
ARM = PWM(Pin(18), freq=50, duty_ns=1500000)
TUG = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
ORDER = "harbour/%s/order" % TUG
LOG = "harbour/%s/log" % TUG
KP = 0.035
KD = 0.001
EFFORT = 0.33

waiting = []
white = [4095] * 4
black = [0] * 4


def motor(pair, effort):
    effort = max(-1, min(1, effort))
    ahead, back = pair if effort >= 0 else (pair[1], pair[0])
    ahead.duty_u16(65535)
    back.duty_u16(int(65535 * (1 - abs(effort))))


def drive(left, right):
    motor(LEFT, left)
    motor(RIGHT, right)


def stop():
    for pwm in LEFT + RIGHT:
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
    return order


def report(did, number=None, why=None):
    what = {"did": did}
    if number is not None:
        what["number"] = number
    if why is not None:
        what["why"] = why
    client.publish(LOG, json.dumps(what), qos=1)


def next_order():
    client.check_msg()
    while waiting:
        try:
            return read(waiting.pop(0))
        except ValueError as fault:
            report("refused", why=str(fault))
    return None


def swing(left, right, ms):
    drive(left, right)
    for _ in range(ms // 10):
        for k in range(4):
            count = EYES[k].read()
            white[k] = min(white[k], count)
            black[k] = max(black[k], count)
        time.sleep_ms(10)


def calibrate():
    swing(-0.4, 0.4, 350)
    swing(0.4, -0.4, 700)
    swing(-0.4, 0.4, 350)


def knock():
    away = 1000 if to_port > 0 else 2000
    for us, ms in ((away, 1000), (3000 - away, 500), (1500, 400)):
        ARM.duty_ns(1000 * us)
        time.sleep_ms(ms)


stop()
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep(0.1)
client = MQTTClient(TUG, "office", keepalive=10)
client.set_callback(lambda topic, msg: waiting.append(msg))
client.set_last_will(LOG, '{"did": "gone"}', qos=1)
client.connect()
client.subscribe(ORDER, 1)
report("joined")

state, number, last = "waiting", 0, 0
crossing, strokes, to_port = False, 0, 0  # first the side mark, then the bar
pinged = until = time.ticks_ms()
while True:
    order = next_order()
    now = time.ticks_ms()
    if order:
        number = order.get("number", 0)
        if order["speed"] > 0 and state == "waiting":
            report("started", number=number)
            if not black[0]:
                calibrate()
            state = "following"
            until = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        elif order["speed"] == 0:
            drive(0, 0)
            report("stopped", number=number)
            state = "waiting"
    if state == "following":
        dark = []
        for k in range(4):
            d = (EYES[k].read() - white[k]) / (black[k] - white[k])
            dark.append(max(0, min(1, d)))
        total = sum(dark)
        if total > 2.2 and not crossing:
            strokes += 1
        crossing = total > 2.2
        if crossing and strokes == 1:
            to_port += dark[0] - dark[3]
        if strokes > 1 and min(dark) > 0.5:
            drive(0, 0)
            time.sleep_ms(300)
            stop()
            knock()
            report("done", number=number)
            state = "docked"
        else:
            if total > 2.2:
                position = last
            elif total < 0.3:
                position = 24 if last > 0 else -24
            else:
                position = (18 * (dark[0] - dark[3]) + 6 * (dark[1] - dark[2])) / total
            steer = KP * position + KD * (position - last) / 0.02
            last = position
            drive(EFFORT - steer, EFFORT + steer)
            if time.ticks_diff(until, time.ticks_ms()) <= 0:
                stop()
                report("stopped", number=number)
                state = "waiting"
    if time.ticks_diff(now, pinged) > 3000:
        client.ping()
        pinged = now
    time.sleep_ms(20)
