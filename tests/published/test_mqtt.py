"""MQTT against what OASIS published.

*Source*: OASIS Standard "MQTT Version 3.1.1" (2014): remaining length (section 2.2.3), topics
and filters (4.7), delivered QoS (3.8.4, 4.3), keep-alive (3.1.2.10), will (3.1.2.5), retain
(3.3.1.3), duplicate client ids (3.1.4), strings (1.5.3).  All read in a transcription (T); the
examples of section 4.7 are the standard's own.  The clauses on a packet's first byte and on
CONNECT's flags ([MQTT-2.2.2-1], [MQTT-2.2.2-2], [MQTT-3.3.1-2], [MQTT-3.3.1-4], [MQTT-3.1.2-22])
were read as several public implementations quote them, not in the document itself (Q).
"""

from __future__ import annotations

import socket
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from typing import Any

import pytest

from robotsim.board.engines import SHIMS
from robotsim.radio.packets import (
    BadPacket,
    Connect,
    PacketReader,
    Publish,
    read_length,
    write_length,
)
from robotsim.radio.topics import LONGEST, filter_fault, matches, topic_fault
from robotsim.units import SECOND
from tests.robotsim.radio.harness import Client, make_broker
from tests.robotsim.radio.real import RealBroker

LENGTHS = [
    (0, "00"), (127, "7F"), (128, "8001"), (16383, "FF7F"), (16384, "808001"),
    (2097151, "FFFF7F"), (2097152, "80808001"), (268435455, "FFFFFF7F"), (321, "C102"),
]  # fmt: skip
WANTED = [
    ("sport/#", "sport"), ("sport/+", "sport/"), ("+/+", "/finance"), ("/+", "/finance"),
    ("$SYS/#", "$SYS/a"),
]  # fmt: skip
NOT_WANTED = [
    ("sport/+", "sport"), ("+", "/finance"), ("#", "$SYS/x"),
    ("+/monitor/Clients", "$SYS/monitor/Clients"),
]  # fmt: skip
INVALID = ["sport/tennis#", "sport/tennis/#/ranking", "sport+"]


# -- remaining length ----------------------------------------------------------


@pytest.mark.parametrize(("length", "told"), LENGTHS)
def test_the_remaining_length_has_the_published_bytes(length: int, told: str) -> None:
    assert write_length(length).hex().upper() == told
    assert read_length(bytes.fromhex(told)) == (length, len(told) // 2)


def test_more_than_four_bytes_of_length_are_refused() -> None:
    with pytest.raises(BadPacket):
        write_length(268435456)
    with pytest.raises(BadPacket):
        read_length(bytes.fromhex("8080808001"))
    assert read_length(bytes.fromhex("808080")) is None


class Tray:
    """Takes what a client writes."""

    def __init__(self) -> None:
        self.data = b""

    def write(self, data: bytes) -> None:
        self.data += data


@pytest.fixture(scope="module")
def umqtt() -> Any:
    """The board's client as a module of this Python, which has a `socket` of its own."""
    spec = spec_from_file_location("board_umqtt", SHIMS / "umqtt" / "simple.py")
    assert spec and spec.loader and socket.socket
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("length", "told"), [row for row in LENGTHS if 2 < row[0] < 3_000_000])
def test_the_boards_client_writes_the_published_bytes(length: int, told: str, umqtt: Any) -> None:
    client = umqtt.MQTTClient("tug", "office")
    client.sock = Tray()
    client.publish(b"t", bytes(length - 3))
    assert client.sock.data[0] == 0x30
    assert client.sock.data[1 : 1 + len(told) // 2].hex().upper() == told
    (packet,) = PacketReader().feed(client.sock.data)
    assert Publish.read(packet) == Publish("t", bytes(length - 3))


# -- topics ----------------------------------------------------------------------


@pytest.mark.parametrize(("wanted", "topic"), WANTED)
def test_a_filter_of_the_standards_examples_wants_its_topic(wanted: str, topic: str) -> None:
    assert matches(wanted, topic) and not filter_fault(wanted) and not topic_fault(topic)


@pytest.mark.parametrize(("wanted", "topic"), NOT_WANTED)
def test_a_filter_of_the_standards_examples_leaves_the_others(wanted: str, topic: str) -> None:
    assert not matches(wanted, topic) and not filter_fault(wanted) and not topic_fault(topic)


@pytest.mark.parametrize("wanted", INVALID)
def test_an_invalid_filter_of_the_standards_examples_is_refused(wanted: str) -> None:
    assert filter_fault(wanted)
    assert Client(make_broker(), "a").subscribe(wanted) == 0x80


@pytest.mark.parametrize(("wanted", "topic"), WANTED + NOT_WANTED)
def test_the_broker_delivers_by_these_rules(wanted: str, topic: str) -> None:
    broker = make_broker()
    client = Client(broker, "a")
    client.subscribe(wanted)
    broker.publish(Publish(topic, b"x"))
    assert len(client.messages) == ((wanted, topic) in WANTED)


@pytest.mark.parametrize("text", ["", "a\0b", "x" * (LONGEST + 1), "é" * 32768, "\ud800"])
def test_a_string_is_not_empty_has_no_null_and_at_most_65535_bytes(text: str) -> None:
    assert topic_fault(text) and filter_fault(text)


def test_a_string_of_65535_bytes_is_allowed() -> None:
    assert not topic_fault("x" * LONGEST)
    (packet,) = PacketReader().feed(Publish("x" * LONGEST, b"").encode())
    assert Publish.read(packet).topic == "x" * LONGEST


def test_wildcards_stand_in_no_name_that_is_published_to() -> None:
    broker = make_broker()
    for topic in ("a/+", "#"):
        client = Client(broker, "a")
        client.publish(topic)
        assert client.closed and topic_fault(topic)


def test_a_string_that_is_no_utf_8_or_holds_a_null_ends_the_connection() -> None:
    for name in (b"\xff", b"a\0b"):
        client = Client(make_broker(), "a")
        client.peer.received(b"\x30" + bytes([2 + len(name)]) + len(name).to_bytes(2, "big") + name)
        assert client.closed


# -- quality of service -------------------------------------------------------------


@pytest.mark.parametrize(("published", "granted"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_the_delivered_qos_is_the_lower_of_published_and_granted(
    published: int, granted: int
) -> None:
    broker = make_broker()
    client, other = Client(broker, "a"), Client(broker, "b")
    assert client.subscribe("t", granted) == granted
    other.publish("t", qos=published)
    (message,) = client.messages
    assert message.qos == min(published, granted)


# -- keep-alive and will ----------------------------------------------------------------


@pytest.mark.parametrize("keep_alive_s", [1, 4, 60, 65535])
def test_silence_of_one_and_a_half_times_the_keep_alive_ends_it(keep_alive_s: int) -> None:
    broker = make_broker()
    client = Client(broker, "a", keep_alive_s=keep_alive_s)
    broker.agenda.advance(keep_alive_s * SECOND * 3 // 2 - 1)
    assert not client.closed
    broker.agenda.advance(keep_alive_s * SECOND * 3 // 2)
    assert client.closed


def test_a_keep_alive_of_0_never_ends_it() -> None:
    broker = make_broker()
    client = Client(broker, "a", keep_alive_s=0)
    broker.agenda.advance(1_000_000 * SECOND)
    assert not client.closed


def test_a_keep_alive_has_16_bits() -> None:
    (packet,) = PacketReader().feed(Connect("a", keep_alive_s=65535).encode())
    assert Connect.read(packet).keep_alive_s == 65535


WILL = Publish("will", b"gone", 1)


@pytest.mark.parametrize("how", ["lost", "keep-alive", "protocol error", "goodbye"])
def test_the_will_is_sent_unless_disconnect_came(how: str) -> None:
    broker = make_broker()
    other = Client(broker, "b")
    other.subscribe("will")
    client = Client(broker, "a", will=WILL, keep_alive_s=2)
    if how == "lost":
        client.peer.gone()
    elif how == "keep-alive":
        broker.agenda.advance(3 * SECOND)
    elif how == "protocol error":
        client.peer.received(b"\x00\x00")
    else:
        client.goodbye()
    assert client.closed
    assert [m.payload for m in other.messages] == ([] if how == "goodbye" else [b"gone"])


# -- retained messages --------------------------------------------------------------------


def test_the_retain_flag_is_1_for_a_new_subscription_and_0_live() -> None:
    broker = make_broker()
    early, late = Client(broker, "a"), Client(broker, "b")
    early.subscribe("t")
    Client(broker, "c").publish("t", b"kept", retain=True)
    late.subscribe("t")
    assert [(m.payload, m.retain) for m in early.messages] == [(b"kept", False)]
    assert [(m.payload, m.retain) for m in late.messages] == [(b"kept", True)]


def test_an_empty_payload_clears_what_was_retained() -> None:
    broker = make_broker()
    office, late = Client(broker, "a"), Client(broker, "b")
    office.publish("t", b"kept", retain=True)
    office.publish("t", b"", retain=True)
    late.subscribe("#")
    assert late.messages == []


# -- client ids -------------------------------------------------------------------------------


def test_a_second_client_of_an_id_disconnects_the_first() -> None:
    broker = make_broker()
    first = Client(broker, "a")
    second = Client(broker, "a")
    assert first.closed and not second.closed
    assert second.answer[1] == 0


# -- a packet's first byte, and CONNECT's flags ------------------------------------------------

FIXED = {1: 0, 2: 0, 4: 0, 5: 0, 6: 2, 7: 0, 8: 2, 9: 0, 10: 2, 11: 0, 12: 0, 13: 0, 14: 0}
"""Kind of packet to the only flags that it may have: table 2.2 (Q); PUBLISH, 3, is apart."""
PUBLISH_FLAGS = {dup << 3 | qos << 1 | retain for dup in (0, 1) for qos in (0, 1, 2)
                 for retain in (0, 1) if qos or not dup}  # fmt: skip
"""DUP is 0 at QoS 0 [MQTT-3.3.1-2]; there is no QoS 3 [MQTT-3.3.1-4]."""


@pytest.mark.parametrize("kind", range(16))
def test_of_all_256_first_bytes_those_of_the_table_are_taken_and_no_others(kind: int) -> None:
    for flags in range(16):
        allowed = flags in PUBLISH_FLAGS if kind == 3 else FIXED.get(kind) == flags
        try:
            list(PacketReader().feed(bytes([kind << 4 | flags])))
        except BadPacket:
            assert not allowed, (kind, flags)
        else:
            assert allowed, (kind, flags)


LET_PASS = ("PUBACK with", "PINGREQ with", "DUP at")
"""What Mosquitto 2.0.11 lets pass (tried), against the clause; later ones may not."""


def with_flags(data: bytes, flags: int) -> bytes:
    return bytes([data[0] & 0xF0 | flags]) + data[1:]


HELLO = Connect("x").encode()
PASSWORD_ALONE = Connect("x", user=None, password=b"secret").encode()
AGAINST_THE_RULES = {
    "CONNECT with flags [MQTT-2.2.2-2]": (with_flags(HELLO, 1), b""),
    "PUBACK with flags [MQTT-2.2.2-2]": (HELLO, with_flags(bytes([0x40, 2, 0, 1]), 4)),
    "PINGREQ with flags [MQTT-2.2.2-2]": (HELLO, with_flags(bytes([0xC0, 0]), 2)),
    "DISCONNECT with flags [MQTT-2.2.2-2]": (HELLO, with_flags(bytes([0xE0, 0]), 1)),
    "SUBSCRIBE without its flags [MQTT-3.8.1-1]": (
        HELLO, with_flags(bytes([0x82, 6, 0, 1, 0, 1, 0x74, 0]), 0)
    ),
    "DUP at QoS 0 [MQTT-3.3.1-2]": (HELLO, with_flags(Publish("t", b"x").encode(), 8)),
    "QoS 3 [MQTT-3.3.1-4]": (HELLO, with_flags(Publish("t", b"x", 1, number=1).encode(), 6)),
    "a password without a user name [MQTT-3.1.2-22]": (PASSWORD_ALONE, b""),
    "CONNECT's reserved flag [MQTT-3.1.2-3]": (
        HELLO[:9] + bytes([HELLO[9] | 1]) + HELLO[10:], b""
    ),
    "a second CONNECT [MQTT-3.1.0-2]": (HELLO, HELLO),
}  # fmt: skip


@pytest.mark.parametrize("what", AGAINST_THE_RULES)
def test_the_broker_closes_the_connection_of_whoever_sends(what: str) -> None:
    first, then = AGAINST_THE_RULES[what]
    broker = make_broker()
    client = Client(broker, "x", connect=False)
    client.peer.received(first)
    if then:
        assert not client.closed, "until here it was right"
        client.peer.received(then)
    assert client.closed and not broker.peers


@pytest.mark.parametrize("what", [row for row in AGAINST_THE_RULES if not row.startswith(LET_PASS)])
def test_mosquitto_closes_it_too(what: str, mosquitto: str, tmp_path: Path) -> None:
    """What another broker makes of the same bytes."""
    first, then = AGAINST_THE_RULES[what]
    with RealBroker(mosquitto, tmp_path) as real:
        with socket.create_connection(("127.0.0.1", real.port), timeout=20) as line:
            line.sendall(first)
            if then:
                assert line.recv(4) == bytes([0x20, 2, 0, 0])
                line.sendall(then)
            assert not line.recv(4)
