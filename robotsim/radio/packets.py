"""Packets: MQTT 3.1.1 as bytes on the wire.

*Source*: OASIS MQTT 3.1.1, sections 2 and 3 (transcription).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

__all__ = [
    "CONNACK",
    "CONNECT",
    "DISCONNECT",
    "LONGEST_PACKET",
    "PINGREQ",
    "PINGRESP",
    "PUBACK",
    "PUBLISH",
    "SUBACK",
    "SUBSCRIBE",
    "UNSUBACK",
    "UNSUBSCRIBE",
    "BadPacket",
    "Connect",
    "Packet",
    "PacketReader",
    "Publish",
    "encode",
    "read_length",
    "read_subscribe",
    "read_unsubscribe",
    "write_length",
]

CONNECT, CONNACK, PUBLISH, PUBACK = 1, 2, 3, 4
SUBSCRIBE, SUBACK, UNSUBSCRIBE, UNSUBACK = 8, 9, 10, 11
PINGREQ, PINGRESP, DISCONNECT = 12, 13, 14
PUBREC, PUBREL, PUBCOMP = 5, 6, 7
_FLAGS = {PUBREL: 2, SUBSCRIBE: 2, UNSUBSCRIBE: 2}
"""The flags of those kinds where they are fixed and not 0; PUBLISH alone says something by them."""
_KINDS = range(CONNECT, DISCONNECT + 1)
LONGEST_PACKET = 268_435_455
"""Most bytes that may follow a packet's head: four groups of seven bits."""


class BadPacket(ValueError):
    """Bytes that are no packet; whoever gets them closes the connection."""


class Packet(NamedTuple):
    """A packet: its kind (1 to 14), the four flag bits beside it, and what follows the head."""

    kind: int
    flags: int
    body: bytes


def write_length(length: int) -> bytes:
    """Give the remaining length as one to four bytes, the lowest seven bits first.

    Raises:
        BadPacket: More than a packet can have.
    """
    if not 0 <= length <= LONGEST_PACKET:
        raise BadPacket(f"a packet has 0 to {LONGEST_PACKET} bytes after its head, not {length}")
    out = bytearray()
    while True:
        length, low = divmod(length, 128)
        out.append(low | (128 if length else 0))
        if not length:
            return bytes(out)


def read_length(data: bytes | bytearray, start: int = 0) -> tuple[int, int] | None:
    """Give (remaining length, bytes that it took), None if more bytes must come first.

    Raises:
        BadPacket: A fifth byte would follow.
    """
    length = 0
    for k in range(4):
        if start + k >= len(data):
            return None
        byte = data[start + k]
        length |= (byte & 127) << (7 * k)
        if byte < 128:
            return length, k + 1
    raise BadPacket("the remaining length has more than four bytes")


def encode(kind: int, body: bytes = b"", flags: int | None = None) -> bytes:
    """Give a packet as bytes; the flags that its kind must have are set unless given."""
    head = kind << 4 | (_FLAGS.get(kind, 0) if flags is None else flags)
    return bytes([head]) + write_length(len(body)) + body


def _field(data: bytes) -> bytes:
    if len(data) > 65_535:
        raise BadPacket(f"a field has at most 65535 bytes, not {len(data)}")
    return struct.pack("!H", len(data)) + data


class _Fields:
    """Reads a packet's body field by field."""

    def __init__(self, body: bytes) -> None:
        self.body, self.at = body, 0

    def take(self, count: int) -> bytes:
        if self.at + count > len(self.body):
            raise BadPacket("the packet ends within a field")
        self.at += count
        return self.body[self.at - count : self.at]

    def byte(self) -> int:
        return self.take(1)[0]

    def number(self) -> int:
        return int(struct.unpack("!H", self.take(2))[0])

    def field(self) -> bytes:
        return self.take(self.number())

    def text(self) -> str:
        try:
            text = self.field().decode("utf-8")
        except UnicodeDecodeError as fault:
            raise BadPacket("a string is not UTF-8") from fault
        if "\0" in text:
            raise BadPacket("a string holds the null character")
        return text

    @property
    def left(self) -> int:
        return len(self.body) - self.at


def _check_head(kind: int, flags: int) -> None:
    """Refuse a first byte that no packet has, before anything that follows is waited for.

    *Source*: MQTT 3.1.1, table 2.1 (kinds 0 and 15 are forbidden), table 2.2 and [MQTT-2.2.2-1],
    [MQTT-2.2.2-2] (flags); [MQTT-3.3.1-2] (DUP is 0 at QoS 0), [MQTT-3.3.1-4] (no QoS 3).
    """
    if kind not in _KINDS:
        raise BadPacket(f"there is no packet of kind {kind}")
    if kind != PUBLISH:
        if flags != _FLAGS.get(kind, 0):
            raise BadPacket(f"a packet of kind {kind} has the flags {_FLAGS.get(kind, 0)}")
        return
    if flags >> 1 & 3 == 3:
        raise BadPacket("there is no QoS 3")
    if flags & 8 and not flags & 6:
        raise BadPacket("nothing is sent again at QoS 0")


class PacketReader:
    """Makes packets of the bytes of a stream, however they are cut up.

    Args:
        limit: Most bytes that a packet may have after its head.
    """

    def __init__(self, limit: int = LONGEST_PACKET) -> None:
        self.limit = limit
        self._data = bytearray()

    def feed(self, data: bytes) -> Iterator[Packet]:
        """Take more bytes and give the packets that are whole now, one by one.

        What comes before a fault is given first, so that nothing depends on how the stream was
        cut up on its way.

        Raises:
            BadPacket: What came is none, or one beyond the limit.
        """
        self._data += data
        while self._data:
            head = self._data[0]
            _check_head(head >> 4, head & 15)
            read = read_length(self._data, 1)
            if read is None:
                return
            length, took = read
            if length > self.limit:
                raise BadPacket(f"a packet of {length} bytes; at most {self.limit} are taken")
            end = 1 + took + length
            if len(self._data) < end:
                return
            packet = Packet(head >> 4, head & 15, bytes(self._data[1 + took : end]))
            del self._data[:end]
            yield packet


@dataclass(frozen=True)
class Publish:
    """A message: its topic, its payload, and how it is to be carried.

    Attributes:
        topic: The topic's name.
        payload: Any bytes.
        qos: 0 at most once, 1 at least once.
        retain: Kept by the broker for later subscribers; on delivery: such a kept one.
        duplicate: Sent before, perhaps in vain.
        number: The packet's number, 0 at QoS 0.
    """

    topic: str
    payload: bytes
    qos: int = 0
    retain: bool = False
    duplicate: bool = False
    number: int = 0

    def encode(self) -> bytes:
        """Give the message as bytes."""
        flags = self.duplicate << 3 | self.qos << 1 | self.retain
        number = struct.pack("!H", self.number) if self.qos else b""
        return encode(PUBLISH, _field(self.topic.encode()) + number + self.payload, flags)

    @classmethod
    def read(cls, packet: Packet) -> Publish:
        """Read a packet of kind PUBLISH.

        Raises:
            BadPacket: It does not hold what it should.
        """
        fields = _Fields(packet.body)
        qos = packet.flags >> 1 & 3
        topic = fields.text()
        number = fields.number() if qos else 0
        if qos and not number:
            raise BadPacket("a packet's number is not 0")
        payload = fields.take(fields.left)
        return cls(topic, payload, qos, bool(packet.flags & 1), bool(packet.flags & 8), number)


@dataclass(frozen=True)
class Connect:
    """A client's first packet.

    Attributes:
        client: The client's id.
        clean: Forget what there was under this id before, and keep nothing after.
        keep_alive_s: At most so long between two packets of the client, in s; 0: no limit.
        will: What is to be published if the client goes without a word.
        user: User name, or None.
        password: Password, or None.
        level: Version of the protocol; 4 is 3.1.1.
    """

    client: str
    clean: bool = True
    keep_alive_s: int = 0
    will: Publish | None = None
    user: str | None = None
    password: bytes | None = None
    level: int = 4

    def encode(self) -> bytes:
        """Give the packet as bytes."""
        flags, tail = self.clean << 1, _field(self.client.encode())
        if self.will:
            flags |= 4 | self.will.qos << 3 | self.will.retain << 5
            tail += _field(self.will.topic.encode()) + _field(self.will.payload)
        if self.user is not None:
            flags |= 128
            tail += _field(self.user.encode())
        if self.password is not None:
            flags |= 64
            tail += _field(self.password)
        head = _field(b"MQTT") + struct.pack("!BBH", self.level, flags, self.keep_alive_s)
        return encode(CONNECT, head + tail)

    @classmethod
    def read(cls, packet: Packet) -> Connect:
        """Read a packet of kind CONNECT.

        Raises:
            BadPacket: It does not hold what it should.
        """
        fields = _Fields(packet.body)
        if fields.field() != b"MQTT":
            raise BadPacket("the protocol is not MQTT")
        level, flags, keep_alive = fields.byte(), fields.byte(), fields.number()
        if flags & 1 or (flags >> 3 & 3) == 3 or (not flags & 4 and flags & 56):
            raise BadPacket("flags that may not be set")
        if flags & 64 and not flags & 128:
            raise BadPacket("a password without a user name")  # [MQTT-3.1.2-22]
        client, will = fields.text(), None
        if flags & 4:
            will = Publish(fields.text(), fields.field(), flags >> 3 & 3, bool(flags & 32))
        user = fields.text() if flags & 128 else None
        password = fields.field() if flags & 64 else None
        if fields.left:
            raise BadPacket("bytes behind the last field")
        return cls(client, bool(flags & 2), keep_alive, will, user, password, level)


def read_subscribe(packet: Packet) -> tuple[int, list[tuple[str, int]]]:
    """Read a packet of kind SUBSCRIBE: its number, and filters with the QoS asked for.

    Raises:
        BadPacket: It does not hold what it should.
    """
    fields = _Fields(packet.body)
    number, wanted = fields.number(), []
    while fields.left:
        topic_filter, qos = fields.text(), fields.byte()
        if qos > 2:
            raise BadPacket(f"there is no QoS {qos}")
        wanted.append((topic_filter, qos))
    if not number or not wanted:
        raise BadPacket("a SUBSCRIBE without number or filter")
    return number, wanted


def read_unsubscribe(packet: Packet) -> tuple[int, list[str]]:
    """Read a packet of kind UNSUBSCRIBE: its number and its filters.

    Raises:
        BadPacket: It does not hold what it should.
    """
    fields = _Fields(packet.body)
    number, wanted = fields.number(), []
    while fields.left:
        wanted.append(fields.text())
    if not number or not wanted:
        raise BadPacket("an UNSUBSCRIBE without number or filter")
    return number, wanted
