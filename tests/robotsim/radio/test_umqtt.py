"""The board's MQTT client as programs know it: what it raises, what it waits for, what it keeps."""

from __future__ import annotations

import pytest

from robotsim import Recording, run_trial
from robotsim.radio import AccessPoint, Airwaves, Order, Outage

HEAD = """
import network, time
from umqtt.simple import MQTTClient, MQTTException
from umqtt import robust

wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
ORDER, LOG = b"harbour/tug-0/order", b"harbour/tug-0/log"

def heard(topic, msg):
    print("heard", msg)

def tried(do, *args, **more):
    try:
        print(do(*args, **more))
    except (OSError, MQTTException, AssertionError, MemoryError) as fault:
        print(type(fault).__name__, fault.args[0] if fault.args else "")

client = MQTTClient("tug-0", "office")
client.set_callback(heard)
"""


def run(body: str, air: Airwaves | None = None, seconds: float = 20.0) -> Recording:
    told = run_trial(HEAD + body, seconds=seconds, air=air)
    assert told.problem is None, told.problem
    return told


def lines(body: str, air: Airwaves | None = None, seconds: float = 20.0) -> list[str]:
    return [line for _, line in run(body, air, seconds).printed]


FAULTS = {
    "tried(MQTTClient('a', 'nowhere').connect)": "OSError -202",
    "tried(MQTTClient('a', '10.1.2.3').connect)": "OSError 111",
    "tried(MQTTClient('a', 'office', port=80).connect)": "OSError 111",
    "wlan.disconnect()\ntried(client.connect)": "OSError -202",
    "wlan.disconnect()\ntried(MQTTClient('a', '192.168.7.2').connect)": "OSError 118",
    "client.connect()\nwlan.disconnect()\ntried(client.publish, LOG, b'x')": "OSError 118",
    "client.connect()\nclient.disconnect()\ntried(client.ping)": "OSError 128",
    "client.connect()\ntried(client.subscribe, b'a/#/b')": "MQTTException 128",
    "c = MQTTClient('a', 'office')\nc.connect()\ntried(c.subscribe, b'a')":
        "AssertionError Subscribe callback is not set",
    "client.connect()\nMQTTClient('tug-0', 'office').connect()\ntried(client.wait_msg)":
        "OSError -1",
}  # fmt: skip


@pytest.mark.parametrize("body", FAULTS)
def test_what_goes_wrong_raises_what_it_raises_on_the_board(body: str) -> None:
    assert lines(body) == [FAULTS[body]]


def test_a_broker_that_refuses_tells_its_code() -> None:
    air = Airwaves(logins={"tug": "secret"})
    body = """
tried(client.connect)
tried(MQTTClient("a", "office", user="tug", password="wrong").connect)
tried(MQTTClient("a", "office", user="tug", password="secret").connect)
"""
    assert lines(body, air) == ["MQTTException 4", "MQTTException 4", "0"]


def test_a_broker_that_is_down_refuses_and_one_that_goes_down_ends_the_connection() -> None:
    air = Airwaves(outages=[Outage(4.0, 2.0)])
    body = """
client.connect()
tried(client.wait_msg)
tried(client.connect)
time.sleep(2)
tried(client.connect)
"""
    assert lines(body, air) == ["OSError -1", "OSError 111", "0"]


def test_check_msg_never_waits_and_wait_msg_does() -> None:
    air = Airwaves(orders=[Order(5.0, "one")])
    body = """
client.connect()
client.subscribe(ORDER)
before = time.ticks_ms()
print(client.check_msg(), time.ticks_diff(time.ticks_ms(), before) < 5)
print(client.wait_msg() & 0xF0, time.ticks_ms() > 4000)
"""
    assert lines(body, air) == ["None True", "heard b'one'", "48 True"]


def test_timers_run_while_wait_msg_waits() -> None:
    air = Airwaves(orders=[Order(5.0, "one")])
    body = """
from machine import Timer
client.connect()
client.subscribe(ORDER)
beats = []
timer = Timer(0, period=100, callback=lambda t: beats.append(time.ticks_ms()))
client.wait_msg()
timer.deinit()
print(len(beats) > 20, all(95 < b - a < 106 for a, b in zip(beats, beats[1:])))
"""
    assert lines(body, air) == ["heard b'one'", "True True"]


def test_a_message_of_a_megabyte_does_not_fit_the_boards_memory() -> None:
    air = Airwaves(orders=[Order(5.0, b"x" * 1_000_000)], message_limit=2_000_000)
    body = "client.connect()\nclient.subscribe(ORDER)\ntried(client.wait_msg)"
    (told,) = lines(body, air, 40.0)
    assert told.startswith("MemoryError memory allocation failed")


def test_an_exception_in_the_callback_comes_out_and_the_message_comes_again() -> None:
    air = Airwaves(orders=[Order(5.0, "one")])
    body = """
def refuses(topic, msg):
    raise ValueError(msg)

client.set_callback(refuses)
client.connect(False)
client.subscribe(ORDER, 1)
try:
    client.wait_msg()
except ValueError as fault:
    print("raised", fault)
client.sock.close()
client.set_callback(heard)
client.connect(False)
client.wait_msg()
"""
    told = run(body, air)
    assert [line for _, line in told.printed] == ["raised b'one'", "heard b'one'"]
    taken = [e.duplicate for e in told.of("message") if e.stage == "taken"]
    assert taken == [False, True]


def test_robust_comes_back_by_itself_and_keeps_its_session() -> None:
    air = Airwaves(
        orders=[Order(t, f"at {t}") for t in (4.5, 5.5, 9.0)], outages=[Outage(5.0, 2.0)]
    )
    body = """
client = robust.MQTTClient("tug-0", "office")
client.set_callback(heard)
client.connect(False)
client.subscribe(ORDER, 1)
while time.ticks_ms() < 10000:
    client.check_msg()
    time.sleep_ms(50)
client.publish(LOG, b"done", qos=1)
"""
    assert lines(body, air) == [f"heard b'at {t}'" for t in (4.5, 5.5, 9.0)]


def test_a_cut_is_silent_and_what_was_said_meanwhile_arrives_after_it() -> None:
    air = Airwaves(cuts=[(5.0, 7.0)])
    body = """
client.connect()
time.sleep(5.5 - time.ticks_ms() / 1000)
print(wlan.isconnected(), client.check_msg())
client.publish(LOG, b"in the dark")
"""
    told = run(body, air)
    assert [line for _, line in told.printed] == ["True None"]
    (heard,) = [e for e in told.of("message") if e.stage == "told"]
    assert 7.0 < heard.seconds < 9.5


def test_a_long_cut_ends_the_connection_by_keep_alive_and_the_will_tells() -> None:
    air = Airwaves(cuts=[(5.0, 15.0)])
    body = """
client = MQTTClient("tug-0", "office", keepalive=2)
client.set_last_will(LOG, b"gone")
client.connect()
while time.ticks_ms() < 18000:
    client.ping()
    client.check_msg()
    time.sleep_ms(500)
"""
    told = run_trial(HEAD + body, seconds=20.0, air=air)
    assert told.problem and told.problem.kind == "OSError"
    (will,) = [e for e in told.of("message") if e.stage == "told"]
    assert 5.0 < will.seconds < 5.0 + 0.5 + 3.1


def test_a_board_that_starts_anew_is_missed_and_its_new_connection_takes_over() -> None:
    air = Airwaves(networks=[AccessPoint("harbour", "lighthouse")])
    body = """
import machine
client.set_last_will(LOG, b"gone")
client.connect()
if wlan.status("rssi") and time.ticks_ms() < 60000:
    client.publish(LOG, b"here")
    time.sleep(1)
    machine.reset()
"""
    told = run_trial(HEAD + body, seconds=6.5, air=air)
    said = [bytes.fromhex(e.hex) for e in told.of("message") if e.stage == "told"]
    assert said[:3] == [b"here", b"gone", b"here"]


def test_a_board_without_a_radio_says_so() -> None:
    from tests.robotsim.board.fakes import answers

    assert answers(b"C scan") == [b"-OSError [Errno 19] ENODEV"]


def test_a_program_that_floods_the_radio_is_stopped_in_words(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("robotsim.radio.harbour._MOST", 300)
    body = "client.connect()\nwhile True:\n    client.publish(LOG, b'x')\n"
    told = run_trial(HEAD + body, seconds=20.0)
    assert told.ended == "stopped" and told.problem and "on the radio" in told.problem.message
