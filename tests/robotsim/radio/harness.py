"""A client without a network: speaks packets with a broker in simulated time."""

from __future__ import annotations

from robotsim.radio import packets
from robotsim.radio.agenda import Agenda
from robotsim.radio.broker import Broker
from robotsim.radio.door import Door, Limits, OpenDoor
from robotsim.radio.packets import Connect, Packet, PacketReader, Publish

__all__ = ["Client", "make_broker"]


def make_broker(
    logins: dict[str, str] | None = None, door: Door | None = None, **limits: int
) -> Broker:
    """Make a broker that keeps what it notes in `broker.noted`; its clock is `broker.agenda`."""
    noted: list[tuple[str, str]] = []
    agenda = Agenda()
    broker = Broker(
        agenda, lambda what, detail: noted.append((what, detail)),
        door or OpenDoor(logins, Limits(**limits)),
    )  # fmt: skip
    broker.noted, broker.agenda = noted, agenda  # type: ignore[attr-defined]
    return broker


class Client:
    """One client of a broker; what came to it is in `got`, packet by packet."""

    def __init__(self, broker: Broker, name: str, *, connect: bool = True, **hello: object) -> None:
        self.name, self.closed = name, False
        self.got: list[Packet] = []
        self._reader = PacketReader()
        self._last = 0
        self.peer = broker.accept(self)
        if connect:
            self.peer.received(Connect(name, **hello).encode())  # type: ignore[arg-type]

    # -- as the broker's line

    def send(self, data: bytes) -> None:
        self.got += self._reader.feed(data)

    def takes(self) -> bool:
        return True

    def close(self) -> None:
        self.closed = True

    # -- as a client

    def number(self) -> bytes:
        self._last += 1
        return self._last.to_bytes(2, "big")

    def subscribe(self, wanted: str, qos: int = 0) -> int:
        """Subscribe and give what was granted."""
        field = len(wanted.encode()).to_bytes(2, "big") + wanted.encode()
        self.peer.received(packets.encode(packets.SUBSCRIBE, self.number() + field + bytes([qos])))
        return [p for p in self.got if p.kind == packets.SUBACK][-1].body[2]

    def publish(
        self, topic: str, payload: bytes = b"x", qos: int = 0, retain: bool = False
    ) -> None:
        number = int.from_bytes(self.number(), "big") if qos else 0
        self.peer.received(Publish(topic, payload, qos, retain, number=number).encode())

    def acknowledge(self, message: Publish) -> None:
        self.peer.received(packets.encode(packets.PUBACK, message.number.to_bytes(2, "big")))

    def goodbye(self) -> None:
        self.peer.received(packets.encode(packets.DISCONNECT))

    @property
    def messages(self) -> list[Publish]:
        """The messages that came, in order."""
        return [Publish.read(p) for p in self.got if p.kind == packets.PUBLISH]

    @property
    def answer(self) -> bytes:
        """The CONNACK's two bytes: whether there was a session, and the code."""
        return next(p.body for p in self.got if p.kind == packets.CONNACK)
