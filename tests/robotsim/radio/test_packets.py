"""Packets, whatever comes: read as they were written, or refused; never otherwise in pieces."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from robotsim.radio import packets
from robotsim.radio.packets import BadPacket, Connect, Packet, PacketReader, Publish
from robotsim.radio.topics import topic_fault
from tests.robotsim.radio.harness import Client, make_broker

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=40)
names = texts.filter(lambda text: not topic_fault(text))
publishes = st.builds(
    Publish, names, st.binary(max_size=300), st.sampled_from([0, 1]), st.booleans(),
    number=st.just(0),
) | st.builds(
    Publish, names, st.binary(max_size=300), st.just(1), st.booleans(), st.booleans(),
    number=st.integers(1, 65_535),
)  # fmt: skip
wills = st.builds(Publish, names, st.binary(max_size=99), st.sampled_from([0, 1]), st.booleans())
connects = st.builds(
    Connect, texts, st.booleans(), st.integers(0, 65_535), st.none() | wills, texts,
    st.none() | st.binary(max_size=40),
) | st.builds(Connect, texts, st.booleans(), st.integers(0, 65_535), st.none() | wills)  # fmt: skip


def sendable(message: Publish) -> bool:
    return bool(message.number) == bool(message.qos)


def outcome(pieces: Sequence[bytes]) -> tuple[list[Packet], str]:
    """Give the packets that a stream holds, and the fault that ends it, if any."""
    reader, got = PacketReader(limit=1000), list[Packet]()
    try:
        for piece in pieces:
            for packet in reader.feed(piece):
                got.append(packet)
    except BadPacket as fault:
        return got, str(fault)
    return got, ""


def cut(data: bytes, places: Sequence[int]) -> list[bytes]:
    ends = [0, *sorted({place % (len(data) + 1) for place in places}), len(data)]
    return [data[a:b] for a, b in zip(ends, ends[1:], strict=False)]


@given(publishes.filter(sendable))
def test_a_message_is_read_as_it_was_written(message: Publish) -> None:
    (packet,) = PacketReader().feed(message.encode())
    assert Publish.read(packet) == message


@given(connects)
def test_a_connect_is_read_as_it_was_written(hello: Connect) -> None:
    (packet,) = PacketReader().feed(hello.encode())
    assert Connect.read(packet) == hello


good = st.one_of(
    publishes.filter(sendable).map(Publish.encode), connects.map(Connect.encode),
    st.just(packets.encode(packets.PINGREQ)), st.just(packets.encode(packets.DISCONNECT)),
    st.binary(min_size=2, max_size=2).map(lambda number: packets.encode(packets.PUBACK, number)),
    st.builds(
        lambda kind, body: packets.encode(kind, b"\0\1" + body),
        st.sampled_from([packets.SUBSCRIBE, packets.UNSUBSCRIBE]),
        st.binary(max_size=30) | names.map(
            lambda name: len(name.encode()).to_bytes(2, "big") + name.encode() + b"\1"
        ),
    ),
)  # fmt: skip


@st.composite
def streams(draw: st.DrawFn) -> bytes:
    """Give what a client might send: packets, some with a byte changed, left out or put in."""
    data = bytearray(b"".join(draw(st.lists(good | st.binary(max_size=8), max_size=5))))
    for place, byte in draw(st.lists(st.tuples(st.integers(0, 999), st.integers(0, 511)),
                                     max_size=3)):  # fmt: skip
        if data and byte < 256:
            data[place % len(data)] = byte
        elif data:
            del data[place % len(data)]
    return bytes(data)


@given(streams(), st.lists(st.integers(0, 9999), max_size=6))
def test_a_stream_means_the_same_however_it_was_cut_up_on_its_way(
    data: bytes, places: list[int]
) -> None:
    whole = outcome([data])
    assert outcome(cut(data, places)) == whole
    assert outcome([bytes([byte]) for byte in data]) == whole


def whatever_comes_harms_nobody(data: bytes, places: list[int]) -> None:
    broker = make_broker()
    other = Client(broker, "the one whom nothing may harm")
    other.subscribe("harbour/#", 1)
    rude = Client(broker, "rude")
    for piece in cut(data, places):
        rude.peer.received(piece)
    late = Client(broker, "late", connect=False)
    late.peer.received(data)
    assert not other.closed
    before = len(other.messages)
    broker.publish(Publish("harbour/end", b"end", 1))
    for message in other.messages:
        other.acknowledge(message)
    assert other.messages[before:][-1].payload == b"end"
    for client in (rude, late):
        client.peer.gone()
        assert client.closed
    assert len(broker.peers) <= 1 and len(broker.retained) <= 10


@given(streams(), st.lists(st.integers(0, 9999), max_size=6))
def test_whatever_comes_over_a_line_harms_nobody_else(data: bytes, places: list[int]) -> None:
    whatever_comes_harms_nobody(data, places)


@pytest.mark.long
@settings(max_examples=5_000, suppress_health_check=list(HealthCheck))
@given(streams(), st.lists(st.integers(0, 9999), max_size=6))
def test_whatever_comes_over_a_line_harms_nobody_else_for_long(
    data: bytes, places: list[int]
) -> None:
    whatever_comes_harms_nobody(data, places)
