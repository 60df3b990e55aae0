"""The logbook tells what the radio did in lines that a learner can read."""

from __future__ import annotations

import pytest

from robotsim import Event, run_trial
from robotsim.live import pad
from robotsim.radio import Airwaves, Order, Outage, logbook
from robotsim.radio.logbook import told

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


FORGED = "\x1b[2J\r\n\x0b\u2028\u202e\u200b\x00"


@pytest.mark.parametrize(
    "event",
    [
        Event(0, "message", ("order", f"harbour/{FORGED}/log", FORGED.encode().hex(), 9, 0, False,
                             False)),
        Event(0, "message", ("told", f"harbour/{FORGED}", b"\xff".hex(), 1, 0, False, False)),
        Event(0, "radio", ("refused", f"{FORGED} #: it is empty")),
        Event(0, "radio", ("order refused", f"it has an unknown name: {FORGED}")),
    ],
)  # fmt: skip
def test_what_strangers_wrote_is_one_line_that_moves_nothing(event: Event) -> None:
    """In the logbook, which goes to a terminal, and on the pad."""
    for line in (told(event), pad._line(event)):
        assert line and line.isprintable(), line
        assert "\\x1b[2J" in line or "\\u2028" in line or "bytes ff" in line
