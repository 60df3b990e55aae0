"""A tug at real time on a real Mosquitto that goes down in the middle and comes back."""

from __future__ import annotations

import math
import signal
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from robotsim import Event, KitError, Recording
from robotsim.live import Live, live
from robotsim.live.bridge import SILENT_S
from robotsim.live.session import LOST_S
from tests.robotsim.radio.real import Office, RealBroker, until

ORDER, LOG = "harbour/tug-7/order", "harbour/tug-7/log"
COUNT = 40

DEAF_DRIVER = """
import json, network, time
from machine import PWM, Pin
from umqtt.simple import MQTTClient

ahead = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 27)]
back = [PWM(Pin(n), freq=1000, duty_u16=40000) for n in (26, 14)]
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
waiting, seen = [], set()
client = MQTTClient("tug-7", "office", keepalive=20)
client.set_callback(lambda topic, message: waiting.append(json.loads(message)["number"]))

def join():
    while True:
        try:
            client.connect(False)
            client.subscribe(b"harbour/tug-7/order", 1)
            return
        except OSError:
            time.sleep_ms(100)

join()
turn = 0
while True:
    turn += 1
    for pin in back:                      # the motors run on, whatever happens to the link
        pin.duty_u16(40000 + turn % 2)
    try:
        while waiting:
            told = json.dumps({"did": "done", "number": waiting[0]})
            client.publish(b"harbour/tug-7/log", told, qos=1)
            seen.add(waiting.pop(0))
        client.check_msg()
    except OSError:
        join()
    time.sleep_ms(10)
"""
"""Keeps its session, answers every order, and never stops its motors."""


@dataclass
class Story:
    """What came of it."""

    recording: Recording
    heard: list[tuple[str, bytes, bool]]
    fault: KitError
    running: float
    texts: list[str] = field(default_factory=list)


@pytest.fixture(scope="module")
def story(mosquitto: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Story]:
    """Forty orders, the broker ended after the first twenty and started again 1.6 s later."""
    with RealBroker(mosquitto, tmp_path_factory.mktemp("live")) as real:
        office = Office(real.port)
        begin = time.monotonic()
        tug = live("main.py", files={"main.py": DEAF_DRIVER}, broker=f"127.0.0.1:{real.port}",
                   serial=7, start=(0.2, 0.4, 0.0), pad=False)  # fmt: skip
        try:
            until(lambda: any(e.what == "subscribed" for e in radio(tug)), "the tug")
            for k in range(COUNT // 2):
                office.client.publish(ORDER, order(k), 1)
            until(lambda: len(done(office.heard)) >= COUNT // 2, "the first reports")
            real.stop()
            for k in range(COUNT // 2, COUNT):
                office.client.publish(ORDER, order(k), 1)
            until(lambda: tug.look.cut, "the guard")
            with pytest.raises(KitError) as fault:
                tug.order({"speed": 0})
            cut = tug.look.t
            until(lambda: tug.look.t > cut + 0.6, "time to see that it stands")
            real.start()
            until(lambda: len(done(office.heard)) == COUNT, "all reports")
            recording = tug.stop()
            running = time.monotonic() - begin
            until(lambda: any(b"gone" in p for _, p, _ in office.heard), "the tug's goodbye")
        finally:
            tug.stop()
            office.close()
    yield Story(recording, office.heard, fault.value, running, [repr(tug)])


def radio(tug: Live) -> list[Event]:
    return [e for e in tug.happened if e.kind == "radio"]


def order(number: int) -> str:
    return f'{{"lamps": [0, 0, 0], "number": {number}}}'


def report(number: int) -> bytes:
    return f'{{"did": "done", "number": {number}}}'.encode()


def done(heard: list[tuple[str, bytes, bool]]) -> set[bytes]:
    return {payload for topic, payload, _ in heard if topic == LOG and b"done" in payload}


def test_nothing_that_qos_1_promises_is_lost(story: Story) -> None:
    """OASIS MQTT 3.1.1, 4.3.2 and 4.4: at least once, for a session that is kept."""
    arrived = [bytes.fromhex(e.hex) for e in story.recording.of("message") if e.stage == "taken"]
    assert {order(k).encode() for k in range(COUNT)} == set(arrived)
    assert done(story.heard) == {report(k) for k in range(COUNT)}


def test_what_was_ordered_while_the_broker_was_away_comes_in_order(story: Story) -> None:
    taken = [bytes.fromhex(e.hex) for e in story.recording.of("message") if e.stage == "taken"]
    first = list(dict.fromkeys(taken))
    assert first == [order(k).encode() for k in range(COUNT)]


def test_the_motors_stop_within_the_stated_time_of_the_loss(story: Story) -> None:
    lost = next(e.seconds for e in story.recording.of("radio") if e.what == "link")
    back = [e.seconds for e in story.recording.of("radio") if e.what == "link"][1]
    assert speed(story.recording, lost) > 0.05, "it was under way"
    for k in range(round((back - lost - LOST_S - 0.3) * 20)):
        assert speed(story.recording, lost + LOST_S + 0.3 + k / 20) < 1e-3
    assert back > lost + LOST_S + 0.3, "there was time to see it"


def speed(recording: Recording, at: float) -> float:
    """Give the tug's speed in m/s over a tenth of a second."""
    ends = [[recording.at(name, t) for name in ("x", "y")] for t in (at, at + 0.1)]
    return math.dist(*ends) / 0.1


def test_an_order_without_a_link_is_told_and_not_kept_for_later(story: Story) -> None:
    assert "link to the broker is lost" in story.fault.what
    sent = [bytes.fromhex(e.hex) for e in story.recording.of("message") if e.stage == "order"]
    assert b'{"speed": 0}' not in sent


def test_a_second_of_the_recording_is_a_second_on_the_wall(story: Story) -> None:
    """A busy computer gives time up, but none may be won."""
    assert story.recording.seconds <= story.running
    assert story.recording.ended == "time is up" and story.recording.problem is None
    assert story.texts == ["tug-7, live: stopped"]


def test_a_live_run_is_a_recording_like_any_other(story: Story, tmp_path: Path) -> None:
    story.recording.save(tmp_path / "run.quay")
    assert Recording.load(tmp_path / "run.quay") == story.recording
    assert len(story.recording.tracks["t"]) == pytest.approx(100 * story.recording.seconds, abs=3)


def test_a_broker_that_is_not_there_is_told_at_once() -> None:
    with pytest.raises(KitError, match="No broker answers"):
        live(broker=f"127.0.0.1:{RealBroker.free_port()}", serial=8, pad=False)


def test_a_program_that_ends_leaves_the_tug_until_someone_stops_it() -> None:
    tug = live("main.py", files={"main.py": "print('ahoy')"}, broker=None, serial=8, pad=False)
    until(lambda: tug.look.t > 0.5, "half a second")
    assert tug.running
    with pytest.raises(KitError, match="no order"):
        tug.order({"speed": 5, "seconds": 1})
    recording = tug.stop()
    assert recording.ended == "finished" and recording.printed[0][1] == "ahoy"
    with pytest.raises(KitError, match="not running any more"):
        tug.order({"speed": 0})


def test_a_second_run_of_the_same_tug_ends_the_first() -> None:
    first, second = (live(broker=None, serial=8, pad=False) for _ in range(2))
    assert not first.running and second.running
    assert first.recording is not None
    second.stop()


def test_what_cannot_be_run_is_told() -> None:
    with pytest.raises(KitError, match="at most 600"):
        live(broker=None, seconds=601, pad=False)
    with pytest.raises(KitError):
        live("nothing.py", files={}, broker=None, pad=False)


@pytest.mark.long
def test_a_link_that_dies_without_a_word_is_known_and_the_motors_are_cut_off(
    mosquitto: str, tmp_path: Path
) -> None:
    """The broker's process is frozen: its connections stand, and nothing comes any more."""
    with RealBroker(mosquitto, tmp_path) as real:
        tug = live("main.py", files={"main.py": DEAF_DRIVER}, broker=f"127.0.0.1:{real.port}",
                   serial=7, start=(0.2, 0.4, 0.0), pad=False)  # fmt: skip
        try:
            until(lambda: abs(tug.look.speed) > 0.05, "the tug under way")
            assert real._process
            real._process.send_signal(signal.SIGSTOP)
            frozen = tug.look.t
            until(lambda: tug.look.cut, "the guard")
            guard = next(e.seconds for e in tug.happened if e.kind == "radio" and e.what == "guard")
        finally:
            if real._process:
                real._process.send_signal(signal.SIGCONT)
            tug.stop()
    assert guard - frozen < SILENT_S + LOST_S + 1.0
