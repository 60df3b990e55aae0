"""Door: who may join a broker, what each may publish and hear, and how much of it each may take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

__all__ = ["Door", "Limits", "OpenDoor"]

_MIB = 1024 * 1024


@dataclass(frozen=True)
class Limits:
    """What one user may take of a broker, all their connections together unless it says otherwise.

    Attributes:
        message: Most bytes of a payload that is passed on.
        packet: Most bytes of a packet after its head; a longer one ends the connection unread.
        text: Most bytes of a topic, a filter or a client id.
        filters: Most subscriptions of one client.
        retained: Most messages that are retained.
        retained_bytes: Most bytes that these take, topics included.
        waiting: Most messages that wait for one client.
        waiting_bytes: Most bytes that these take.
        connections: Most at a time.
        absent: Most sessions that are kept for clients that are away.
    """

    message: int = 16_384
    packet: int = 4 * _MIB + 1024
    text: int = 65_535
    filters: int = 1000
    retained: int = 10_000
    retained_bytes: int = 16 * _MIB
    waiting: int = 1000
    waiting_bytes: int = 16 * _MIB
    connections: int = 1000
    absent: int = 1000


class Door(Protocol):
    """Whom a broker asks.  A user is known by name alone; "" is everyone who gave none."""

    def admits(self, user: str | None, password: str | None) -> bool:
        """Tell whether someone may join."""

    def allows(self, user: str | None, topic: str, *, publish: bool) -> bool:
        """Tell whether someone may publish under a topic, or subscribe to a filter."""

    def limits(self, user: str | None) -> Limits:
        """Give what someone may take; of None: whoever has not said yet who they are."""


@dataclass(frozen=True)
class OpenDoor:
    """A door that knows passwords at the most: whoever is in may do everything.

    Attributes:
        logins: User name to password; None lets everyone in.
        each: What each may take.
    """

    logins: Mapping[str, str] | None = None
    each: Limits = field(default_factory=Limits)

    def admits(self, user: str | None, password: str | None) -> bool:
        """Tell whether someone may join."""
        if self.logins is None:
            return True
        return user is not None and user in self.logins and self.logins[user] == (password or "")

    def allows(self, user: str | None, topic: str, *, publish: bool) -> bool:
        """Allow everything."""
        return True

    def limits(self, user: str | None) -> Limits:
        """Give everyone the same."""
        return self.each
