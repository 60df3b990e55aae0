"""Doorman: the embedded broker (amqtt), held to an access list, and ended without leftovers."""

from __future__ import annotations

import asyncio
import contextlib
import weakref
from dataclasses import dataclass, field
from typing import Any

from amqtt.broker import Broker
from amqtt.contexts import Action
from amqtt.plugins.base import BaseAuthPlugin, BaseTopicPlugin
from amqtt.session import Session

from .access import Access

__all__ = ["Doorman", "HouseBroker"]

_GRACE_S = 5
"""How much longer than its keep-alive a client may be silent.  MQTT asks for half of it more;
this broker knows only a fixed time."""


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


class HouseBroker(Broker):  # type: ignore[misc]  # amqtt has no types
    """The broker.

    Args:
        bind: Host and port to listen on.
        access: The access list.
        loop: The loop that it runs in.
    """

    def __init__(self, bind: str, access: Access, loop: asyncio.AbstractEventLoop) -> None:
        name = f"{Doorman.__module__}.{Doorman.__qualname__}"  # amqtt looks it up by its name
        listeners = {"default": {"type": "tcp", "bind": bind}}
        plugins = {name: {"access": access}}
        settings = {"timeout_disconnect_delay": _GRACE_S}
        super().__init__({"listeners": listeners, "plugins": plugins, **settings}, loop=loop)
        self._house_loop = loop
        # Not the writers, which amqtt lets go while their transports are still open.
        self._transports: weakref.WeakSet[asyncio.WriteTransport] = weakref.WeakSet()

    async def stream_connected(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, listener_name: str
    ) -> None:
        """Take a connection, and remember it: amqtt forgets those that it has refused."""
        self._transports.add(writer.transport)
        await super().stream_connected(reader, writer, listener_name)

    async def _publish_retained_messages_for_subscription(
        self, subscription: tuple[str, int], session: Session
    ) -> None:
        """Hand what is retained to whoever has subscribed to it.

        amqtt hands a client that joins all that matches anybody's subscription.
        """
        holders = (one.client_id for one, _ in self._subscriptions.get(subscription[0], ()))
        if session.client_id in holders:
            await super()._publish_retained_messages_for_subscription(subscription, session)

    async def _client_message_loop(self, client_session: Session, handler: Any) -> None:
        """Hand on what a client was promised before it is let go.

        amqtt acknowledges a message before it hands it on, and lets fall what is still waiting
        when the client says goodbye; so it hears of the goodbye after that.
        """
        goodbye = handler.wait_disconnect

        async def when_all_is_handed_on() -> Any:
            said = await goodbye()
            while not client_session.delivered_message_queue.empty():
                await asyncio.sleep(0)
            return said

        handler.wait_disconnect = when_all_is_handed_on
        await super()._client_message_loop(client_session, handler)

    async def end(self) -> None:
        """End it, with every connection and every task."""
        with contextlib.suppress(Exception):  # whatever it has to say, it is over
            await self.shutdown()
        for transport in list(self._transports):
            transport.abort()
        left = asyncio.all_tasks(self._house_loop) - {asyncio.current_task()}
        for task in left:
            task.cancel()
        await asyncio.gather(*left, return_exceptions=True)
        await asyncio.sleep(0)
