"""Sessions: what a broker keeps for one client id, connected or not."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from .door import Limits
from .packets import Publish
from .topics import matches

__all__ = ["IN_FLIGHT", "Key", "Session"]

Key = tuple[str, str]
"""User name ("" for none) and client id: under one id two users have two sessions, so that nobody
comes by what is another's by taking its id."""

IN_FLIGHT = 20
"""Most messages on their way to a client at once (what Mosquitto takes unless told otherwise)."""
_NUMBERS = 65_535


@dataclass
class Session:
    """One user's client id: its subscriptions, and the messages that it has not acknowledged.

    *Model*: MQTT 3.1.1, sections 3.1.2.4 (session state), 4.3.2 (QoS 1), 4.4 (redelivery) and
    4.6 (order).  A message is sent again only after the client has connected anew.

    Attributes:
        key: The user and the client id.
        note: Told of each message that is dropped: why, and the topic.
        limits: What the user may take.
        wanted: Filter to the QoS that was granted.
        send: Where packets go; None while the client is away.
        takes: Tells whether the client takes more just now, or is behind with what it was sent.
    """

    key: Key
    note: Callable[[str, str], None]
    limits: Limits = field(default_factory=Limits)
    wanted: dict[str, int] = field(default_factory=dict)
    send: Callable[[bytes], None] | None = None
    takes: Callable[[], bool] = lambda: True
    _sent: dict[int, Publish] = field(default_factory=dict)
    _waiting: deque[Publish] = field(default_factory=deque)
    _waiting_bytes: int = 0
    _last: int = 0

    @property
    def client(self) -> str:
        """The client id."""
        return self.key[1]

    def granted(self, topic: str) -> int | None:
        """Give the QoS at which this client wants a topic, None if it does not."""
        return max((q for f, q in self.wanted.items() if matches(f, topic)), default=None)

    def offer(self, message: Publish, granted: int) -> None:
        """Deliver a message, or keep it until it can be: at QoS min(published, granted)."""
        message = replace(message, qos=min(message.qos, granted), duplicate=False, number=0)
        if not message.qos:
            if self.send and self.takes():
                self.send(message.encode())
            elif self.send:
                self.note("dropped", message.topic)
            return
        size, limits = len(message.topic) + len(message.payload), self.limits
        if (
            len(self._waiting) >= limits.waiting
            or self._waiting_bytes + size > limits.waiting_bytes
        ):
            self.note("dropped", message.topic)
            return
        self._waiting.append(message)
        self._waiting_bytes += size
        self._pour()

    def _pour(self) -> None:
        while self.send and self._waiting and len(self._sent) < IN_FLIGHT:
            self._last = self._last % _NUMBERS + 1
            while self._last in self._sent:
                self._last = self._last % _NUMBERS + 1
            message = replace(self._waiting.popleft(), number=self._last)
            self._waiting_bytes -= len(message.topic) + len(message.payload)
            self._sent[self._last] = message
            self.send(message.encode())

    def acknowledge(self, number: int) -> None:
        """Note that the client has a message."""
        self._sent.pop(number, None)
        self._pour()

    def resume(self) -> None:
        """Send again what was not acknowledged, marked as a duplicate; then what waits."""
        assert self.send
        for message in list(self._sent.values()):
            self.send(replace(message, duplicate=True).encode())
        self._pour()
