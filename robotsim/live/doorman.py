"""Doorman: holds the embedded broker to the access list; amqtt loads it by its name."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from amqtt.contexts import Action
from amqtt.plugins.base import BaseAuthPlugin, BaseTopicPlugin
from amqtt.session import Session

from .access import Access

__all__ = ["NAME", "Doorman"]

NAME = f"{__name__}.Doorman"
"""The name under which amqtt finds it."""


class Doorman(BaseAuthPlugin, BaseTopicPlugin):  # type: ignore[misc]  # amqtt has no types
    """Lets in whom the access list names, to the topics that it names."""

    @dataclass
    class Config:
        """What amqtt hands over.

        Attributes:
            access: The access list.
        """

        access: Any = field(default_factory=Access)

    async def authenticate(self, *, session: Session) -> bool:
        """Tell whether a client may join."""
        access: Access = self.config.access
        return access.admits(session.username, session.password)

    async def topic_filtering(
        self, *, session: Session | None = None, topic: str | None = None,
        action: Action | None = None,
    ) -> bool:  # fmt: skip
        """Tell whether a client may publish, subscribe or receive."""
        access: Access = self.config.access
        if action == Action.RECEIVE:  # its subscription was looked at already
            return True
        user = session.username if session else None
        return access.allows(user, topic or "", publish=action == Action.PUBLISH)
