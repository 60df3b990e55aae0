# One task listens, another one works: between them there is a queue.
import asyncio
import json
from collections import deque

import machine
import neopixel
import network
from umqtt.simple import MQTTClient

NAME = "tug-%d" % int.from_bytes(machine.unique_id()[2:], "big")
queue = deque((), 20)
chain = neopixel.NeoPixel(machine.Pin(13), 5)
client = MQTTClient(NAME, "office", keepalive=60)
client.set_callback(lambda topic, text: queue.append(text))


def colour_of(order):
    if type(order) is not dict or not set(order) <= {"lamps", "number"}:
        raise ValueError("names")
    parts = order.get("lamps")
    if type(parts) is not list or len(parts) != 3:
        raise ValueError("three parts")
    if [part for part in parts if type(part) is not int or part < 0 or part > 255]:
        raise ValueError("0 to 255")
    return parts


def say(report):
    client.publish("harbour/%s/log" % NAME, json.dumps(report), False, 1)


async def listen():
    while True:
        client.check_msg()
        await asyncio.sleep(0.03)


async def work():
    while True:
        while queue:
            text = queue.popleft()
            try:
                order = json.loads(text)
                chain.fill(colour_of(order))
                chain.write()
                say({"did": "done", "number": order["number"]})
            except ValueError as why:
                say({"did": "refused", "why": "no good order: " + str(why)})
        await asyncio.sleep(0.05)


async def main():
    wlan = network.WLAN()
    wlan.active(True)
    wlan.connect("harbour", "lighthouse")
    while not wlan.isconnected():
        await asyncio.sleep(0.1)
    client.connect()
    client.subscribe("harbour/%s/order" % NAME, 1)
    say({"did": "joined"})
    await asyncio.gather(listen(), work())


asyncio.run(main())
