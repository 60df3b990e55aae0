"""The logbook tells what the radio did in lines that a learner can read."""

from __future__ import annotations

from robotsim import run_trial
from robotsim.radio import Airwaves, Order, Outage, logbook

PROGRAM = """
import network, time
from umqtt.simple import MQTTClient
wlan = network.WLAN()
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
client = MQTTClient("tug-0", "office")
client.set_callback(lambda topic, msg: None)
client.connect()
client.subscribe("harbour/tug-0/order", 1)
client.publish("harbour/tug-0/log", "ahoy")
for _ in range(3):
    client.wait_msg()
"""


def test_the_logbook_follows_each_message_and_names_what_went_wrong() -> None:
    orders = [Order(1.0, "early", retain=True), Order(4.0, b"\xff\x00"), Order(5.0, "x" * 100)]
    air = Airwaves(orders=orders, outages=[Outage(7.0, 1.0)])
    lines = logbook(run_trial(PROGRAM, seconds=9.0, air=air)).split("\n")
    told = [line[11:].strip() for line in lines]
    assert told == [
        "tug joins network harbour",
        "office sends  harbour/tug-0/order  early (retain)",
        "network joined: harbour",
        "broker connects tug-0",
        "broker subscribes tug-0 harbour/tug-0/order",
        "tug sends     harbour/tug-0/log  ahoy",
        "tug reads     harbour/tug-0/order  early (retain)",
        "office reads  harbour/tug-0/log  ahoy",
        "office sends  harbour/tug-0/order  bytes ff 00",
        "tug reads     harbour/tug-0/order  bytes ff 00",
        f"office sends  harbour/tug-0/order  {'x' * 70} ... 100 bytes",
        f"tug reads     harbour/tug-0/order  {'x' * 70} ... 100 bytes",
        "broker is down",
        "connection ends: tug-0 broker went down",
        "broker is up",
    ]
    assert [float(line[:7]) for line in lines] == sorted(float(line[:7]) for line in lines)
