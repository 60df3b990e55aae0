# criterion: It waits, and it stops when told to
# mistake: deaf on the way
# Tasks that take turns: one listens, one steers; a mailbox of one order lies between them.
import asyncio
import json
import time

import network
from machine import ADC, PWM, Pin, unique_id
from umqtt.simple import MQTTClient

NAME = "tug-%d" % int.from_bytes(unique_id()[2:], "big")
motors = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
client = MQTTClient(NAME, "office", keepalive=12)
go, halt = asyncio.Event(), asyncio.Event()
order = {}


def efforts(*both):
    for k, value in enumerate(both):
        ahead = value >= 0
        motors[2 * k].duty_u16(65535 if ahead else int(65535 * (1 + max(value, -1))))
        motors[2 * k + 1].duty_u16(int(65535 * (1 - min(value, 1))) if ahead else 65535)


def off():
    for pin in motors:
        pin.duty_u16(0)


def tell(did, number=None, **more):
    if number is not None:
        more["number"] = number
    client.publish("harbour/%s/log" % NAME, json.dumps(dict(did=did, **more)), qos=1)


def checked(text):
    given = json.loads(text)
    if not isinstance(given, dict):
        raise ValueError("no object")
    for name, value in given.items():
        if name not in ("speed", "seconds", "number") or type(value) not in (int, float):
            raise ValueError("what is %s?" % name)
    if "speed" not in given or not -0.5 <= given["speed"] <= 0.5:
        raise ValueError("speed")
    if given["speed"] and not 0 < given.get("seconds", 0) <= 60:
        raise ValueError("seconds")
    return given


letters = []


async def listening():
    count = 0
    while True:
        client.check_msg()
        while letters:
            try:
                given = checked(letters.pop(0))
            except ValueError as fault:
                tell("refused", why=str(fault) or "no order")
                continue
            if given["speed"]:
                order.update(given)
                go.set()
            else:
                halt.set()
                efforts(0, 0)
                tell("stopped", given.get("number"))
        count += 1
        if count % 200 == 0:
            client.ping()
        await asyncio.sleep_ms(15)


async def join():
    station = network.WLAN(network.WLAN.IF_STA)
    station.active(True)
    station.connect("harbour", "lighthouse")
    while not station.isconnected():
        await asyncio.sleep_ms(50)
    client.set_callback(lambda topic, text: letters.append(text))
    client.set_last_will("harbour/%s/log" % NAME, '{"did": "gone"}', qos=1)
    client.connect()
    client.subscribe("harbour/%s/order" % NAME, 1)
    tell("joined")


eyes = [ADC(Pin(n), atten=ADC.ATTN_11DB) for n in (36, 39, 34, 35)]
low, high = [9999] * 4, [-1] * 4


def learn():
    for k, eye in enumerate(eyes):
        count = eye.read()
        low[k], high[k] = min(low[k], count), max(high[k], count)


def shares():
    return [min(1, max(0, (e.read() - w) / (b - w))) for e, w, b in zip(eyes, low, high)]


async def wiggle():
    for way, ms in ((-1, 350), (1, 700), (-1, 350)):
        efforts(0.4 * way, -0.4 * way)
        end = time.ticks_add(time.ticks_ms(), ms)
        while time.ticks_diff(end, time.ticks_ms()) > 0:
            learn()
            await asyncio.sleep_ms(8)
    off()


async def following():
    place, strokes, wide, side = 0, 0, False, 0
    while True:
        await go.wait()
        go.clear()
        halt.clear()
        number = order.get("number")
        tell("started", number)
        end = time.ticks_add(time.ticks_ms(), int(1000 * order["seconds"]))
        if high[0] < 0:
            await wiggle()
        while not halt.is_set():
            a, b, c, d = shares()
            total = a + b + c + d
            strokes += total > 2.2 and not wide
            wide = total > 2.2
            side += (a - d) if wide and strokes == 1 else 0
            if strokes > 1 and min(a, b, c, d) > 0.5:
                efforts(0, 0)
                await asyncio.sleep_ms(300)
                off()
                tell("done", number)
                return
            if time.ticks_diff(end, time.ticks_ms()) <= 0:
                off()
                tell("stopped", number)
                break
            before = place
            if total < 0.3:
                place = 24 if before > 0 else -24
            elif not wide:
                place = (18 * (a - d) + 6 * (b - c)) / total
            turn = 0.035 * place + 0.05 * (place - before)
            efforts(0.55 - turn, 0.55 + turn)
            time.sleep_ms(20)


async def main():
    off()
    await join()
    asyncio.create_task(following())
    await listening()


asyncio.run(main())
