"""The same program on our radio and against a real Mosquitto: the same messages in the same order.

Against Mosquitto it runs under the real MicroPython interpreter, once with micropython-lib's own
`umqtt.simple` (where pip can fetch it) and once with ours.  The office is paho there, and a script
here.
"""

from __future__ import annotations

import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from robotsim import KitError, Recording, run_trial
from robotsim.board.engines import SHIMS, command
from robotsim.radio import Airwaves, Order, Outage
from robotsim.radio.topics import filter_fault, matches
from tests.published.test_mqtt import INVALID, NOT_WANTED, WANTED
from tests.robotsim.radio.real import Office, RealBroker, board, genuine_client, until

ORDER, LOG = "harbour/tug-7/order", "harbour/tug-7/log"

PROGRAM = """
import network, time
from umqtt.simple import MQTTClient

ORDER, LOG = b"harbour/tug-7/order", b"harbour/tug-7/log"
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)

last = b""

def heard(topic, msg):
    global last
    print("heard", topic.decode(), msg.decode())
    last = msg

def until(wanted):
    while last != wanted:
        client.check_msg()
        time.sleep_ms(10)

client = MQTTClient("tug-7", "office", keepalive=20)
client.set_callback(heard)
client.set_last_will(LOG, b"gone", qos=1)
print("session", client.connect(False))
client.subscribe(ORDER, 1)
client.subscribe(b"harbour/all/#")
client.publish(LOG, b"joined", qos=1)
until(b"away")
client.sock.close()             # the link breaks, without a goodbye
time.sleep_ms(1500)
print("session", client.connect(False))
client.publish(LOG, b"back", qos=1)
until(b"clean")
client.disconnect()             # with a goodbye: no will
print("session", client.connect(True))
client.subscribe(ORDER, 0)
client.publish(LOG, b"anew", qos=0)
until(b"end")
client.publish(LOG, b"", retain=True)
client.publish(LOG, b"done", qos=1)
client.sock.close()
"""


def office_script() -> dict[bytes, list[tuple[str, bytes, int, bool]]]:
    """Give what the office publishes, by the report that it waits for."""
    return {
        b"": [(ORDER, b"kept", 1, True), ("harbour/all/news", b"old news", 0, True)],
        b"joined": [
            (ORDER, b"one", 1, False), (ORDER, b"two", 0, False),
            ("harbour/tug-8/order", b"no", 1, False),
            ("harbour/all", b"to all", 1, False), (ORDER, "drei \u2713".encode(), 1, False),
            (ORDER, b"", 1, False), (ORDER, b"x" * 5000, 1, False), (ORDER, b"away", 1, False),
        ],
        b"gone": [(ORDER, b"q0 while away", 0, False), (ORDER, b"q1 while away", 1, False),
                  (ORDER, b"q1 again", 1, False)],
        b"back": [(ORDER, b"four", 1, False), (ORDER, b"clean", 1, False)],
        b"anew": [(ORDER, b"end", 1, False)],
    }  # fmt: skip


@pytest.fixture(scope="module")
def simulated() -> Recording:
    """The program on our radio; what the office says comes at times that fit."""
    times = {b"": 0.1, b"joined": 3.0, b"gone": 4.0, b"back": 6.5, b"anew": 9.0}
    orders = [
        Order(times[after] + 0.02 * k, payload, topic, qos, retain)
        for after, messages in office_script().items()
        for k, (topic, payload, qos, retain) in enumerate(messages)
    ]
    told = run_trial(PROGRAM, serial=7, seconds=15.0, air=Airwaves(orders=orders))
    assert told.problem is None, told.problem
    assert told.ended == "finished"
    return told


def seen(recording: Recording) -> list[str]:
    return [line for _, line in recording.printed]


def reports(recording: Recording) -> list[bytes]:
    told = [e for e in recording.of("message") if (e.stage, e.topic) == ("told", LOG)]
    return [bytes.fromhex(e.hex) for e in told]


@pytest.fixture(scope="module")
def interpreter() -> str:
    """The path of the real interpreter."""
    try:
        return command("micropython")[0]
    except KitError as missing:
        pytest.skip(str(missing))


@pytest.fixture(scope="module", params=["umqtt.simple of micropython-lib", "our umqtt.simple"])
def client(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the client that a program imports."""
    folder = tmp_path_factory.mktemp("client")
    if request.param.startswith("our"):
        shutil.copytree(SHIMS / "umqtt", folder / "umqtt")
        return folder
    found = genuine_client(folder)
    if found is None:
        pytest.skip("pip could not fetch micropython-umqtt.simple")
    return found


@pytest.fixture(scope="module")
def broker(mosquitto: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[RealBroker]:
    """A real Mosquitto."""
    with RealBroker(mosquitto, tmp_path_factory.mktemp("mosquitto")) as running:
        yield running


def at_port(text: str, port: int) -> str:
    """Give a program the broker's address, as one does on a network of one's own."""
    return text.replace('"office"', f'"127.0.0.1", {port}')


def play(office: Office, process: subprocess.Popen[str]) -> str:
    """Let the office answer each report as its script says, until the program has ended."""
    waiting = {report: messages for report, messages in office_script().items() if report}
    while waiting:
        new = [payload for _, payload, _ in office.heard if payload in waiting]
        for payload in new:
            for message in waiting.pop(payload, []):
                office.publish(*message)
        until(lambda: bool({p for _, p, _ in office.heard} & waiting.keys()) or not waiting,
              f"one of {list(waiting)}; heard {office.heard}")  # fmt: skip
    return process.communicate(timeout=20)[0]


def test_a_program_sees_on_our_radio_what_it_sees_of_mosquitto(
    broker: RealBroker, interpreter: str, client: Path, tmp_path: Path, simulated: Recording
) -> None:
    office = Office(broker.port)
    try:
        for message in office_script()[b""]:
            office.publish(*message)
        with board(interpreter, at_port(PROGRAM, broker.port), client, tmp_path) as process:
            printed = play(office, process)
        until(lambda: [p for _, p, _ in office.heard].count(b"gone") == 2, "the second will")
    finally:
        for topic, *_ in office_script()[b""]:
            office.publish(topic, b"", retain=True)
        office.close()
    assert printed.splitlines() == seen(simulated)
    assert [payload for topic, payload, _ in office.heard if topic == LOG] == reports(simulated)


def test_what_the_program_saw_is_what_the_standard_asks(simulated: Recording) -> None:
    """The comparison would also hold if both sides had seen nothing."""
    heard = [line.split(" ", 2)[2] for line in seen(simulated) if line.startswith("heard")]
    assert heard == [
        "kept", "old news", "one", "two", "to all", "drei \u2713", "", "x" * 5000, "away",
        "q1 while away", "q1 again", "four", "clean", "kept", "end",
    ]  # fmt: skip
    assert [line for line in seen(simulated) if "session" in line] == [
        "session 0", "session 1", "session 0",
    ]  # fmt: skip
    assert reports(simulated) == [b"joined", b"gone", b"back", b"anew", b"", b"done", b"gone"]


def test_both_engines_see_the_same_and_see_it_again(simulated: Recording, interpreter: str) -> None:
    times = [Order(e.seconds, bytes.fromhex(e.hex), e.topic, e.qos, e.retain)
             for e in simulated.of("message") if e.stage == "order" and e.size < 2000]  # fmt: skip
    one, again, other = (
        run_trial(PROGRAM, serial=7, seconds=15.0, air=Airwaves(orders=times), engine=name)
        for name in ("cpython", "cpython", "micropython")
    )
    assert one == other and one.to_bytes() == again.to_bytes()


def test_micropythons_own_client_runs_on_our_radio_unchanged(
    client: Path, simulated: Recording
) -> None:
    """Only the names of the modules that it imports are today's instead of the old ones."""
    text = client.joinpath("umqtt", "simple.py").read_text(encoding="utf-8")
    for old in ("usocket", "ustruct", "ubinascii"):
        text = text.replace(f"import {old} as {old[1:]}", f"import {old[1:]}")
        text = text.replace(f"from {old} ", f"from {old[1:]} ")
    files = {"main.py": PROGRAM.replace("umqtt.simple", "umqtt_simple"), "umqtt_simple.py": text}
    orders = [Order(e.seconds, bytes.fromhex(e.hex) if e.size < 2000 else b"x" * e.size, e.topic,
                    e.qos, e.retain)
              for e in simulated.of("message") if e.stage == "order"]  # fmt: skip
    told = run_trial(files, serial=7, seconds=15.0, air=Airwaves(orders=orders))
    assert told.problem is None, told.problem
    assert seen(told) == seen(simulated)


def test_mosquitto_agrees_on_which_filter_wants_which_topic(broker: RealBroker) -> None:
    for wanted, topic in WANTED + NOT_WANTED:
        if topic.startswith("$"):  # no client may publish there
            continue
        office = Office(broker.port, [wanted, "end"])
        office.publish(topic, b"x")
        office.publish("end", b"")
        until(lambda heard=office.heard: any(t == "end" for t, *_ in heard), "the end")  # type: ignore[misc]
        assert any(t == topic for t, *_ in office.heard) == matches(wanted, topic), wanted
        office.close()
    assert all(map(filter_fault, INVALID))


# -- the broker goes down in the middle ---------------------------------------------------

KEPT_UP = """
import network, time
from umqtt.simple import MQTTClient

wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)

orders = set()

def heard(topic, msg):
    orders.add(int(msg))

client = MQTTClient("tug-7", "office", keepalive=20)
client.set_callback(heard)

def connect():
    while True:
        try:
            client.connect(False)
            client.subscribe(b"harbour/tug-7/order", 1)
            return
        except OSError:
            time.sleep_ms(100)

connect()
number = 0
while number < 60 or len(orders) < 60:
    try:
        if number < 60:
            client.publish(b"harbour/tug-7/log", str(number), qos=1)
            number += 1
        client.check_msg()
    except OSError:
        connect()
    time.sleep_ms(20)
print("orders", len(orders), "reports", number)
"""


def test_a_broker_that_goes_down_and_comes_back_loses_nothing_at_qos_1() -> None:
    for seed in range(3):
        orders = [Order(2.5 + 0.03 * k, str(k)) for k in range(60)]
        air = Airwaves(
            orders=orders,
            outages=[Outage(2.8, 0.5), Outage(3.7, 0.2)],
            cuts=[(4.0, 4.4)],
            loss=0.05,
        )
        told = run_trial(KEPT_UP, serial=7, seconds=30.0, seed=seed, air=air)
        assert told.problem is None and told.ended == "finished", told.problem
        assert seen(told) == ["orders 60 reports 60"]
        assert {int(payload) for payload in reports(told)} == set(range(60))


def test_a_broker_that_comes_back_without_its_memory_does_lose_some() -> None:
    """The test above can fail: it rests on what the broker keeps."""
    orders = [Order(2.5 + 0.03 * k, str(k)) for k in range(60)]
    air = Airwaves(orders=orders, outages=[Outage(2.8, 0.5, keeps=False)])
    told = run_trial(KEPT_UP, serial=7, seconds=30.0, air=air)
    assert told.ended == "time is up" and not told.printed


def test_mosquitto_killed_and_started_again_loses_nothing_at_qos_1(
    mosquitto: str, interpreter: str, client: Path, tmp_path: Path
) -> None:
    with RealBroker(mosquitto, tmp_path) as real:
        office = Office(real.port)
        with board(interpreter, at_port(KEPT_UP, real.port), client, tmp_path) as process:
            until(lambda: len(office.heard) > 3, "reports")
            for k in range(30):
                office.client.publish(ORDER, str(k), 1)
            real.stop()
            for k in range(30, 60):
                office.client.publish(ORDER, str(k), 1)
            real.start()
            printed = process.communicate(timeout=30)[0]
        until(lambda: len({p for _, p, _ in office.heard}) == 60, "all reports")
        office.close()
    assert printed.splitlines() == ["orders 60 reports 60"]
    assert Counter(int(p) for _, p, _ in office.heard).keys() == set(range(60))
