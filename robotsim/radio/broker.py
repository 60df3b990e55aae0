"""Broker: takes messages and hands each to everyone who wants its topic."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Protocol

from ..units import SECOND
from . import packets
from .agenda import Agenda
from .packets import BadPacket, Connect, Packet, PacketReader, Publish
from .sessions import Session
from .topics import filter_fault, matches, topic_fault

__all__ = ["MESSAGE_LIMIT", "Broker", "Line", "Peer"]

MESSAGE_LIMIT = 16_384
"""Most bytes of a payload that the harbour's broker passes on (a setting, invented)."""
_PATIENCE_NS = 5 * SECOND
"""How long a connection may wait with its CONNECT (invented)."""


class Line(Protocol):
    """The broker's end of a connection."""

    def send(self, data: bytes) -> None:
        """Send bytes to the client."""

    def close(self) -> None:
        """End the connection; what was sent still arrives."""


class Broker:
    """A broker in simulated time, at QoS 0 and 1.

    *Model*: MQTT 3.1.1: subscriptions, retained messages, wills, keep-alive at one and a half
    times, a second connection under a client id ends the first, sessions that outlast a
    connection.  A subscription at QoS 2 is granted QoS 1; who publishes at QoS 2 is
    disconnected.
    *Source*: OASIS MQTT 3.1.1, sections 3 and 4 (transcription).

    Args:
        agenda: The clock, and where the broker's own times are noted.
        note: Told of everything: what, and a detail.
        logins: User name to password; None lets everyone in.
        message_limit: Most bytes of a payload that are passed on.
    """

    def __init__(
        self, agenda: Agenda, note: Callable[[str, str], None],
        logins: Mapping[str, str] | None = None, message_limit: int = MESSAGE_LIMIT,
    ) -> None:  # fmt: skip
        self.agenda, self.note = agenda, note
        self.logins, self.message_limit = logins, message_limit
        self.sessions: dict[str, Session] = {}
        self.retained: dict[str, Publish] = {}
        self.listeners: list[Callable[[Publish], None]] = []
        self.peers: dict[str, Peer] = {}
        self._named = 0

    def name(self) -> str:
        """Give an id for a client that has none."""
        self._named += 1
        return f"nameless-{self._named}"

    def accept(self, line: Line) -> Peer:
        """Take a new connection."""
        peer = Peer(self, line)
        self.agenda.after(_PATIENCE_NS, peer.hurry)
        return peer

    def publish(self, message: Publish) -> None:
        """Hand a message to all who want its topic, and keep it if it says so."""
        if len(message.payload) > self.message_limit:
            self.note("too big", f"{message.topic} {len(message.payload)}")
            return
        if message.retain and message.payload:
            self.retained[message.topic] = replace(message, duplicate=False)
        elif message.retain:
            self.retained.pop(message.topic, None)
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
        if fault:
            self.note("refused", f"{session.client} {wanted}: {fault}")
            return 128
        session.wanted[wanted] = granted = min(qos, 1)
        self.note("subscribed", f"{session.client} {wanted}")
        return granted

    def offer_retained(self, session: Session, wanted: str, granted: int) -> None:
        """Hand over what was kept for a filter, its retain flag set."""
        for topic in sorted(self.retained):
            if matches(wanted, topic):
                session.offer(self.retained[topic], granted)

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
        self._reader = PacketReader(1024 + 4 * 1024 * 1024)
        self._keep_ns = self._heard_ns = 0
        self._clean = self._over = False

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
        self.line.close()
        if self.session is None:
            self.broker.note("closed", f"- {why}")
            return
        client, self.session.send = self.session.client, None
        self.broker.note("closed", f"{client} {why}")
        del self.broker.peers[client]
        if self._clean:
            del self.broker.sessions[client]
        if self.will:
            will, self.will = self.will, None
            self.broker.note("will", f"{client} {will.topic}")
            self.broker.publish(will)

    # -- what comes ------------------------------------------------------------

    def received(self, data: bytes) -> None:
        """Take bytes from the client; what is against the rules ends the connection."""
        try:
            for packet in self._reader.feed(data):
                if self._over:
                    return
                self._heard_ns = self.broker.agenda.now_ns
                self._take(packet)
        except BadPacket as fault:
            self.end(f"protocol error: {fault}")

    def _take(self, packet: Packet) -> None:
        if packet.kind == packets.CONNECT and self.session is None:
            self._connect(Connect.read(packet))
        elif self.session is None or packet.kind == packets.CONNECT:
            raise BadPacket("CONNECT comes first, and once")
        elif packet.kind == packets.PUBLISH:
            self._publish(Publish.read(packet))
        elif packet.kind == packets.PUBACK:
            self.session.acknowledge(int.from_bytes(packet.body[:2], "big"))
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

    def _refuse(self, code: int, why: str) -> None:
        self.line.send(packets.encode(packets.CONNACK, bytes([0, code])))
        self.end(why)

    def _connect(self, hello: Connect) -> None:
        broker = self.broker
        if hello.level != 4:
            return self._refuse(1, f"version {hello.level} of the protocol is not spoken")
        if not hello.client and not hello.clean:
            return self._refuse(2, "a session to be kept needs a client id")
        if broker.logins is not None and (
            hello.user is None
            or broker.logins.get(hello.user, "").encode() != (hello.password or b"")
            or hello.user not in broker.logins
        ):
            return self._refuse(4, "bad user name or password")
        client = hello.client or broker.name()
        if client in broker.peers:
            broker.peers[client].end("another client took the id")
        if hello.clean:
            broker.sessions.pop(client, None)
        kept = client in broker.sessions
        session = broker.sessions.setdefault(client, Session(client, broker.note))
        broker.peers[client], session.send = self, self.line.send
        self.session, self.will, self._clean = session, hello.will, hello.clean
        if self.will:
            fault = topic_fault(self.will.topic)
            if fault or self.will.qos > 1:
                self.will = None
                raise BadPacket(f"a will that cannot be sent: {fault or 'QoS 2'}")
        broker.note("connected", client)
        self.line.send(packets.encode(packets.CONNACK, bytes([kept, 0])))
        self._keep_ns = hello.keep_alive_s * 3 * SECOND // 2
        if self._keep_ns:
            broker.agenda.after(self._keep_ns, self._listen)
        session.resume()

    def _listen(self) -> None:
        """End the connection if nothing came for one and a half times the keep-alive."""
        if self._over:
            return
        due_ns = self._heard_ns + self._keep_ns
        if self.broker.agenda.now_ns >= due_ns:
            self.end("keep-alive ran out")
        else:
            self.broker.agenda.at(due_ns, self._listen)

    def _publish(self, message: Publish) -> None:
        fault = topic_fault(message.topic)
        if fault:
            raise BadPacket(f"a topic that cannot be published to: {fault}")
        if message.qos > 1:
            raise BadPacket("this broker carries QoS 0 and 1")
        self.broker.publish(message)
        if message.qos:
            self.line.send(packets.encode(packets.PUBACK, message.number.to_bytes(2, "big")))

    def _subscribe(self, session: Session, packet: Packet) -> None:
        number, wanted = packets.read_subscribe(packet)
        granted = [self.broker.subscribe(session, f, qos) for f, qos in wanted]
        self.line.send(packets.encode(packets.SUBACK, number.to_bytes(2, "big") + bytes(granted)))
        for (topic_filter, _), qos in zip(wanted, granted, strict=True):
            if qos < 128:
                self.broker.offer_retained(session, topic_filter, qos)
