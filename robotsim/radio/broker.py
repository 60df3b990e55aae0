"""Broker: takes messages and hands each to everyone who wants its topic.

It reads and writes bytes and asks a clock for the time; whether both are simulated (`harbour`) or
real (`robotsim.live.house`) makes no difference to it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from ..units import SECOND
from . import packets
from .door import Door, OpenDoor
from .packets import BadPacket, Connect, Packet, PacketReader, Publish
from .sessions import Key, Session
from .shelf import Shelf
from .topics import filter_fault, matches, topic_fault

__all__ = ["Broker", "Clock", "Line", "Peer"]

_PATIENCE_NS = 5 * SECOND
"""How long a connection may wait with its CONNECT (invented)."""
_REFUSED = 128
"""What SUBACK says of a filter that is refused."""
_BAD_VERSION, _BAD_ID, _NO_ROOM, _BAD_PASSWORD, _NOT_ALLOWED = 1, 2, 3, 4, 5
"""Return codes of CONNACK: MQTT 3.1.1, 3.2.2.3."""

_SIZES = {packets.PUBACK: 2, packets.PINGREQ: 0, packets.DISCONNECT: 0}
"""Bytes of the packets that always have as many: MQTT 3.1.1, 3.4, 3.12 and 3.14."""


class Clock(Protocol):
    """What tells a broker the time, and reminds it."""

    @property
    def now_ns(self) -> int:
        """The time in ns."""

    def after(self, delay_ns: int, do: Callable[[], None]) -> Callable[[], None]:
        """Do something after a while; what is given back calls it off, if it still can be."""


class Line(Protocol):
    """The broker's end of a connection."""

    def send(self, data: bytes) -> None:
        """Send bytes to the client."""

    def takes(self) -> bool:
        """Tell whether the client takes more just now, or is behind with what it was sent."""

    def close(self) -> None:
        """End the connection; what was sent still arrives."""


class Broker:
    """A broker at QoS 0 and 1.

    *Model*: MQTT 3.1.1: subscriptions, retained messages, wills, keep-alive at one and a half
    times, a second connection under a client id ends the first, sessions that outlast a
    connection.  A subscription at QoS 2 is granted QoS 1; who publishes at QoS 2 is
    disconnected.  Beyond the standard: a client id belongs to its user, and everyone has limits.
    *Source*: OASIS MQTT 3.1.1, sections 3 and 4 (transcription).

    Args:
        clock: The clock.
        note: Told of everything: what, and a detail.
        door: Who may join, what each may do, and how much each may take.

    Attributes:
        is_up: Whether its machine is running.
    """

    def __init__(
        self, clock: Clock, note: Callable[[str, str], None], door: Door | None = None
    ) -> None:
        self.clock, self.note, self.is_up = clock, note, True
        self.door = door or OpenDoor()
        self.sessions: dict[Key, Session] = {}
        self.retained = Shelf()
        self.listeners: list[Callable[[Publish], None]] = []
        self.peers: dict[Key, Peer] = {}
        self._named = 0

    def name(self) -> str:
        """Give an id for a client that has none."""
        self._named += 1
        return f"nameless-{self._named}"

    def accept(self, line: Line) -> Peer:
        """Take a new connection."""
        return Peer(self, line)

    def receive(self, user: str, message: Publish) -> None:
        """Hand on what a client publishes, by itself or as its last will, if it may.

        What it may not is dropped and acknowledged all the same ([MQTT-3.3.5-2]).
        """
        if self.door.allows(user, message.topic, publish=True):
            self.publish(message, user)
        else:
            self.note("not allowed", f"{user} {message.topic}")

    def publish(self, message: Publish, user: str = "") -> None:
        """Hand a message to all who want its topic, and keep it on a user's account if it says so.

        Whether that user may is not asked any more.
        """
        limits = self.door.limits(user)
        if len(message.payload) > limits.message:
            self.note("too big", f"{message.topic} {len(message.payload)}")
            return
        if message.retain and not self.retained.put(user, message, limits):
            self.note("not kept", message.topic)
        live = replace(message, retain=False, duplicate=False)
        for session in list(self.sessions.values()):
            granted = session.granted(message.topic)
            if granted is not None:
                session.offer(live, granted)
        for listener in self.listeners:
            listener(live)

    def subscribe(self, session: Session, wanted: str, qos: int) -> int:
        """Add a subscription: the QoS granted, or 128 if the filter is refused."""
        fault = filter_fault(wanted)
        limits = session.limits
        if not fault and len(wanted.encode()) > limits.text:
            fault = "it is too long"
        if not fault and not self.door.allows(session.key[0], wanted, publish=False):
            fault = "it is not allowed"
        if not fault and wanted not in session.wanted and len(session.wanted) >= limits.filters:
            fault = f"there are {limits.filters} already"
        if fault:
            self.note("refused", f"{session.client} {wanted}: {fault}")
            return _REFUSED
        session.wanted[wanted] = granted = min(qos, 1)
        self.note("subscribed", f"{session.client} {wanted}")
        return granted

    def offer_retained(self, session: Session, wanted: str, granted: int) -> None:
        """Hand over what was kept for a filter, its retain flag set."""
        for message in self.retained:
            if matches(wanted, message.topic):
                session.offer(message, granted)

    def forget_oldest(self, user: str) -> None:
        """Forget the sessions that a user has left behind, the oldest first, beyond their limit."""
        away = [key for key in self.sessions if key[0] == user and key not in self.peers]
        for key in away[: max(0, len(away) - self.door.limits(user).absent)]:
            del self.sessions[key]
            self.note("forgotten", key[1])

    def shut(self, *, keeps: bool) -> None:
        """Go down, as at a restart: connections end, wills are not sent.

        Args:
            keeps: Whether sessions and retained messages are there again afterwards.
        """
        for peer in list(self.peers.values()):
            peer.will = None
            peer.end("broker went down")
        if not keeps:
            self.sessions.clear()
            self.retained.clear()


class Peer:
    """A client's connection, from the broker's side.

    Args:
        broker: Its broker.
        line: The connection.
    """

    def __init__(self, broker: Broker, line: Line) -> None:
        self.broker, self.line = broker, line
        self.will: Publish | None = None
        self.session: Session | None = None
        self._reader = PacketReader(broker.door.limits(None).packet)
        self._keep_ns = self._heard_ns = 0
        self._clean = self._over = False
        self._call_off = broker.clock.after(_PATIENCE_NS, self.hurry)

    # -- how it ends -----------------------------------------------------------

    def hurry(self) -> None:
        """End a connection whose CONNECT has not come."""
        if self.session is None and not self._over:
            self.end("no CONNECT came")

    def gone(self) -> None:
        """The connection has ended from the other side."""
        self.end("connection lost")

    def end(self, why: str) -> None:
        """End the connection; the will, if there is one, is published."""
        if self._over:
            return
        self._over = True
        self._call_off()
        self.line.close()
        session, broker = self.session, self.broker
        if session is None:
            broker.note("closed", f"- {why}")
            return
        session.send = None
        broker.note("closed", f"{session.client} {why}")
        del broker.peers[session.key]
        kept = broker.sessions.pop(session.key)
        if not self._clean:
            broker.sessions[session.key] = kept  # the one that was left last
            broker.forget_oldest(session.key[0])
        if self.will:
            will, self.will = self.will, None
            broker.note("will", f"{session.client} {will.topic}")
            broker.receive(session.key[0], will)

    # -- what comes ------------------------------------------------------------

    def received(self, data: bytes) -> None:
        """Take bytes from the client; what is against the rules ends the connection."""
        try:
            for packet in self._reader.feed(data):
                if self._over:
                    return
                self._heard_ns = self.broker.clock.now_ns
                self._take(packet)
        except BadPacket as fault:
            self.end(f"protocol error: {fault}")

    def _take(self, packet: Packet) -> None:
        if packet.kind == packets.CONNECT and self.session is None:
            self._connect(Connect.read(packet))
        elif self.session is None or packet.kind == packets.CONNECT:
            raise BadPacket("CONNECT comes first, and once")
        elif packet.kind == packets.PUBLISH:
            self._publish(self.session, Publish.read(packet))
        elif len(packet.body) != _SIZES.get(packet.kind, len(packet.body)):
            raise BadPacket(f"a packet of kind {packet.kind} and {len(packet.body)} bytes")
        elif packet.kind == packets.PUBACK:
            self.session.acknowledge(int.from_bytes(packet.body, "big"))
        elif packet.kind == packets.SUBSCRIBE:
            self._subscribe(self.session, packet)
        elif packet.kind == packets.UNSUBSCRIBE:
            number, wanted = packets.read_unsubscribe(packet)
            for topic_filter in wanted:
                self.session.wanted.pop(topic_filter, None)
            self.line.send(packets.encode(packets.UNSUBACK, number.to_bytes(2, "big")))
        elif packet.kind == packets.PINGREQ:
            self.broker.note("ping", self.session.client)
            self.line.send(packets.encode(packets.PINGRESP))
        elif packet.kind == packets.DISCONNECT:
            self.will = None
            self.end("goodbye")
        else:
            raise BadPacket(f"a client does not send packets of kind {packet.kind}")

    def _connect(self, hello: Connect) -> None:
        refused = self._fault(hello)
        if refused:
            self.line.send(packets.encode(packets.CONNACK, bytes([0, refused[0]])))
            self.end(refused[1])
            return
        broker, user = self.broker, hello.user or ""
        key = user, hello.client or broker.name()
        if key in broker.peers:
            broker.peers[key].end("another client took the id")
        if hello.clean:
            broker.sessions.pop(key, None)
        kept = key in broker.sessions
        limits = broker.door.limits(user)
        session = broker.sessions.setdefault(key, Session(key, broker.note, limits))
        broker.peers[key], session.send, session.takes = self, self.line.send, self.line.takes
        self.session, self.will, self._clean = session, hello.will, hello.clean
        self._reader.limit = limits.packet
        broker.note("connected", session.client)
        self.line.send(packets.encode(packets.CONNACK, bytes([kept, 0])))
        self._call_off()
        self._keep_ns = hello.keep_alive_s * 3 * SECOND // 2
        if self._keep_ns:
            self._call_off = broker.clock.after(self._keep_ns, self._listen)
        session.resume()

    def _fault(self, hello: Connect) -> tuple[int, str] | None:
        """Give the code and the words with which someone is refused; nothing is changed yet.

        Raises:
            BadPacket: The will is none that could ever be sent.
        """
        door, user, will = self.broker.door, hello.user or "", hello.will
        if hello.level != 4:
            return _BAD_VERSION, f"version {hello.level} of the protocol is not spoken"
        if not hello.client and not hello.clean:
            return _BAD_ID, "a session to be kept needs a client id"
        password = None if hello.password is None else hello.password.decode("utf-8", "replace")
        if not door.admits(hello.user, password):
            return _BAD_PASSWORD, "bad user name or password"
        limits = door.limits(user)
        if len(hello.client.encode()) > limits.text:
            return _BAD_ID, "a client id that is too long"
        others = sum(key[0] == user for key in self.broker.peers)
        if others >= limits.connections and (user, hello.client) not in self.broker.peers:
            return _NO_ROOM, f"{user or 'everyone'} has {others} connections already"
        if will is None:
            return None
        fault = topic_fault(will.topic) or ("QoS 2" if will.qos > 1 else "")
        if fault:
            raise BadPacket(f"a will that cannot be sent: {fault}")
        if len(will.topic.encode()) > limits.text or not door.allows(
            user, will.topic, publish=True
        ):
            return _NOT_ALLOWED, f"a will that {user} may not leave: {will.topic}"
        return None

    def _listen(self) -> None:
        """End the connection if nothing came for one and a half times the keep-alive."""
        if self._over:
            return
        left_ns = self._heard_ns + self._keep_ns - self.broker.clock.now_ns
        if left_ns <= 0:
            self.end("keep-alive ran out")
        else:
            self._call_off = self.broker.clock.after(left_ns, self._listen)

    def _publish(self, session: Session, message: Publish) -> None:
        fault = topic_fault(message.topic)
        if not fault and len(message.topic.encode()) > session.limits.text:
            fault = "it is too long"
        if fault:
            raise BadPacket(f"a topic that cannot be published to: {fault}")
        if message.qos > 1:
            raise BadPacket("this broker carries QoS 0 and 1")
        self.broker.receive(session.key[0], message)
        if message.qos:
            self.line.send(packets.encode(packets.PUBACK, message.number.to_bytes(2, "big")))

    def _subscribe(self, session: Session, packet: Packet) -> None:
        number, wanted = packets.read_subscribe(packet)
        granted = [self.broker.subscribe(session, f, qos) for f, qos in wanted]
        self.line.send(packets.encode(packets.SUBACK, number.to_bytes(2, "big") + bytes(granted)))
        for (topic_filter, _), qos in zip(wanted, granted, strict=True):
            if qos != _REFUSED:
                self.broker.offer_retained(session, topic_filter, qos)
