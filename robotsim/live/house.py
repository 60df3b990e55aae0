"""House: the harbour's broker on a real socket, at real time.

What it does with a packet is `robotsim.radio.broker`, held to the standard by its tests and to a
real Mosquitto by others; here are the socket, the clock, and what keeps strangers from filling the
memory.  LIVE.md says why this is not a broker from a library.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable
from typing import cast

from ..radio.broker import Broker, Peer
from ..radio.door import Door
from ..units import SECOND

__all__ = ["CALLERS", "House"]

CALLERS = 400
"""Most connections at a time; when there is one more, whoever has been silent longest must go."""
_LAST_TURNS = 5
"""Turns of the loop in which a house that closes sends callers away."""
_BEHIND = 256 * 1024
"""Bytes that wait in vain for a client to read them: from then on nothing more is read from it."""
_READ = 16 * 1024
"""Bytes that are read of one client before it is another's turn."""
_LINGER_S = 2.0
"""How long the last bytes for a client whose connection is being closed may take."""


class _WallClock:
    """The loop's own clock, as the broker asks for it."""

    def __init__(self, loop: asyncio.AbstractEventLoop) -> None:
        self._loop = loop

    @property
    def now_ns(self) -> int:
        return round(self._loop.time() * SECOND)

    def after(self, delay_ns: int, do: Callable[[], None]) -> Callable[[], None]:
        return self._loop.call_later(delay_ns / SECOND, do).cancel


class House:
    """A broker that listens.

    Args:
        door: Who may join, what each may do, and how much each may take.
        loop: The loop that it runs in.
    """

    def __init__(self, door: Door, loop: asyncio.AbstractEventLoop) -> None:
        self.loop = loop
        self.broker = Broker(_WallClock(loop), _keep_quiet, door)
        self.callers: dict[_Caller, None] = {}
        self._server: asyncio.Server | None = None

    async def open(self, host: str, port: int) -> None:
        """Begin to listen.

        Raises:
            OSError: It cannot be listened there.
        """
        self._server = await self.loop.create_server(lambda: _Caller(self), host, port)

    def make_room(self) -> None:
        """Send away the one that has been silent longest of those who have not said who they are.

        Whoever has a password has said so within a moment; so they come in, however many strangers
        stand at the door.
        """
        if len(self.callers) > CALLERS:
            strangers = (one for one in self.callers if one.peer.session is None)
            next(strangers, next(reversed(self.callers))).abort()

    async def close(self) -> None:
        """End it, with every connection; its sessions and retained messages are gone."""
        # A server that is closed while somebody comes in loses hold of that socket (CPython's
        # asyncio): first nobody is let in any more, and whoever was at the door has come in.
        for door in self._server.sockets if self._server else ():
            with contextlib.suppress(NotImplementedError):  # Windows: the server alone can do it
                self.loop.remove_reader(door.fileno())
        self.broker.shut(keeps=False)
        for _ in range(_LAST_TURNS):
            for caller in list(self.callers):
                caller.abort()
            await asyncio.sleep(0)
        if self._server:
            self._server.close()
            await self._server.wait_closed()


class _Caller(asyncio.BufferedProtocol):
    """One connection; the broker sees it as a `Line`."""

    peer: Peer

    def __init__(self, house: House) -> None:
        self._house = house
        self._buffer = bytearray(_READ)
        self._behind = False

    # -- asyncio calls these

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self._transport = cast(asyncio.Transport, transport)
        self._transport.set_write_buffer_limits(_BEHIND)
        self.peer = self._house.broker.accept(self)
        self._house.callers[self] = None
        self._house.make_room()

    def get_buffer(self, sizehint: int) -> bytearray:
        return self._buffer

    def buffer_updated(self, nbytes: int) -> None:
        self.peer.received(bytes(self._buffer[:nbytes]))

    def pause_writing(self) -> None:
        self._behind = True
        self._transport.pause_reading()

    def resume_writing(self) -> None:
        self._behind = False
        self._transport.resume_reading()

    def connection_lost(self, exc: Exception | None) -> None:
        self._house.callers.pop(self, None)
        self.peer.gone()

    # -- the broker calls these

    def send(self, data: bytes) -> None:
        """Send bytes to the client."""
        if not self._transport.is_closing():
            self._transport.write(data)

    def takes(self) -> bool:
        """Tell whether the client takes more just now."""
        return not self._behind

    def close(self) -> None:
        """End the connection; what was sent may still arrive for a while."""
        self._transport.close()
        self._house.loop.call_later(_LINGER_S, self._transport.abort)

    def abort(self) -> None:
        """End the connection at once; the broker hears of it when asyncio gets to it."""
        self._house.callers.pop(self, None)
        self._transport.abort()


def _keep_quiet(what: str, detail: str) -> None:
    """Tell nobody what goes on: a notebook is no place for it."""
