"""The broker: sessions, redelivery, limits, and what ends a connection."""

from __future__ import annotations

import pytest

from robotsim.radio import packets
from robotsim.radio.packets import Publish
from robotsim.radio.sessions import IN_FLIGHT
from robotsim.units import SECOND
from tests.robotsim.radio.harness import Client, make_broker


def payloads(client: Client) -> list[bytes]:
    return [m.payload for m in client.messages]


def test_what_was_not_acknowledged_comes_again_after_a_new_connect_marked_as_duplicate() -> None:
    broker = make_broker()
    first = Client(broker, "a", clean=False)
    first.subscribe("t", 1)
    broker.publish(Publish("t", b"1", 1))
    broker.publish(Publish("t", b"2", 1))
    first.acknowledge(first.messages[0])
    first.peer.gone()
    again = Client(broker, "a", clean=False)
    assert again.answer == b"\x01\x00", "the session is there"
    (message,) = again.messages
    assert (message.payload, message.duplicate) == (b"2", True)
    assert message.number == first.messages[1].number


def test_a_kept_session_gets_what_came_meanwhile_at_qos_1_in_order() -> None:
    broker = make_broker()
    Client(broker, "a", clean=False).subscribe("t", 1)
    broker.peers["", "a"].gone()
    for k in range(5):
        broker.publish(Publish("t", b"%d" % k, k % 2))
    assert payloads(Client(broker, "a", clean=False)) == [b"1", b"3"]


def test_a_clean_session_gets_nothing_of_before_and_leaves_nothing() -> None:
    broker = make_broker()
    Client(broker, "a", clean=False).subscribe("t", 1)
    broker.peers["", "a"].gone()
    broker.publish(Publish("t", b"1", 1))
    clean = Client(broker, "a", clean=True)
    assert clean.answer == b"\x00\x00" and not clean.messages
    clean.subscribe("t", 1)
    clean.peer.gone()
    assert not broker.sessions


def test_no_more_messages_are_under_way_at_once_than_allowed_and_none_is_lost() -> None:
    broker = make_broker()
    client = Client(broker, "a")
    client.subscribe("t", 1)
    for k in range(3 * IN_FLIGHT):
        broker.publish(Publish("t", b"%d" % k, 1))
    assert len(client.messages) == IN_FLIGHT
    done = 0
    while done < len(client.messages):
        client.acknowledge(client.messages[done])
        done += 1
    assert payloads(client) == [b"%d" % k for k in range(3 * IN_FLIGHT)]


def test_a_queue_that_is_full_drops_and_says_so() -> None:
    broker = make_broker(waiting=7)
    Client(broker, "a", clean=False).subscribe("t", 1)
    broker.peers["", "a"].gone()
    for _ in range(10):
        broker.publish(Publish("t", b"x", 1))
    assert broker.noted.count(("dropped", "t")) == 3  # type: ignore[attr-defined]


def test_overlapping_subscriptions_deliver_once_at_the_higher_qos() -> None:
    broker = make_broker()
    client = Client(broker, "a")
    client.subscribe("t/#", 0)
    client.subscribe("t/+", 1)
    broker.publish(Publish("t/x", b"1", 1))
    assert [m.qos for m in client.messages] == [1]


def test_unsubscribing_ends_it() -> None:
    broker = make_broker()
    client = Client(broker, "a")
    client.subscribe("t")
    client.peer.received(packets.encode(packets.UNSUBSCRIBE, b"\0\x09\0\x01t"))
    broker.publish(Publish("t", b"1"))
    assert not client.messages
    assert client.got[-1] == (packets.UNSUBACK, 0, b"\0\x09")


def test_a_message_beyond_the_limit_goes_nowhere_but_is_acknowledged() -> None:
    broker = make_broker(message=10)
    client, other = Client(broker, "a"), Client(broker, "b")
    client.subscribe("t")
    other.publish("t", bytes(11), qos=1)
    assert not client.messages and other.got[-1].kind == packets.PUBACK
    assert ("too big", "t 11") in broker.noted  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("hello", "code"),
    [({"level": 5}, 1), ({"clean": False}, 2), ({"user": "tug", "password": b"wrong"}, 4),
     ({"user": "nobody", "password": b""}, 4), ({}, 4), ({"user": "tug", "password": b"pw"}, 0)],
)  # fmt: skip
def test_who_may_not_connect_gets_the_standards_code(hello: dict[str, object], code: int) -> None:
    client = Client(make_broker(logins={"tug": "pw"}), "" if code == 2 else "a", **hello)
    assert client.answer == bytes([0, code]) and client.closed == bool(code)


@pytest.mark.parametrize(
    "data",
    [b"\x00\x00", b"\xf0\x00", b"\x20\x02\0\0", b"\x30\x80\x80\x80\x80\x01", b"\x36\x03\0\x01t",
     b"\x32\x05\0\x01t\0\0", b"\x34\x05\0\x01t\0\x01", b"\x80\x00", b"\x82\x02\0\x01",
     b"\x82\x06\0\x01\0\x01t\x03", b"\x30\x01\0", b"\x10\x00"],
    ids=bytes.hex,
)  # fmt: skip
def test_what_is_against_the_rules_ends_the_connection_and_harms_nobody_else(data: bytes) -> None:
    broker = make_broker()
    client, other = Client(broker, "a"), Client(broker, "b")
    other.subscribe("t")
    client.peer.received(data)
    assert client.closed and not other.closed
    broker.publish(Publish("t", b"1"))
    assert payloads(other) == [b"1"]


def test_nothing_but_connect_may_come_first_and_it_must_come_soon() -> None:
    broker = make_broker()
    rude, slow = (Client(broker, name, connect=False) for name in "ab")
    rude.peer.received(packets.encode(packets.PINGREQ))
    assert rude.closed and not slow.closed
    broker.agenda.advance(6 * SECOND)
    assert slow.closed


def test_a_ping_is_answered_and_keeps_the_connection() -> None:
    broker = make_broker()
    client = Client(broker, "a", keep_alive_s=2)
    for second in range(2, 20, 2):
        broker.agenda.advance(second * SECOND)
        client.peer.received(packets.encode(packets.PINGREQ))
        assert client.got[-1].kind == packets.PINGRESP
    assert not client.closed


def test_a_taken_over_session_goes_on_under_the_new_connection() -> None:
    broker = make_broker()
    first = Client(broker, "a", clean=False)
    first.subscribe("t", 1)
    second = Client(broker, "a", clean=False)
    broker.publish(Publish("t", b"1", 1))
    assert first.closed and not first.messages and payloads(second) == [b"1"]


@pytest.mark.parametrize("keeps", [True, False])
def test_a_restart_keeps_sessions_and_retained_messages_or_loses_both(keeps: bool) -> None:
    broker = make_broker()
    client = Client(broker, "a", clean=False, will=Publish("w", b"gone"))
    client.subscribe("#", 1)
    client.publish("t", b"kept", retain=True, qos=1)
    broker.shut(keeps=keeps)
    assert client.closed
    again = Client(broker, "a", clean=False)
    assert again.answer[0] == keeps and bool(broker.retained) == keeps
    assert b"gone" not in payloads(again), "a broker that goes down sends no wills"


def test_a_message_in_pieces_of_one_byte_is_the_same_message() -> None:
    broker = make_broker()
    client, other = Client(broker, "a"), Client(broker, "b")
    client.subscribe("t")
    for byte in Publish("t", bytes(200)).encode():
        other.peer.received(bytes([byte]))
    assert payloads(client) == [bytes(200)]
