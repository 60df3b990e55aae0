"""Switch: carries bytes between the interpreter's console and whoever is at the cable's ends."""

from __future__ import annotations

import select

from .console import Console
from .ends import End, SocketEnd, TerminalEnd

__all__ = ["Switch"]

_EARLY = 64 * 1024
"""Bytes that are kept while the board starts."""


class Switch:
    """Ends on one side, a console on the other, one after the other.

    Args:
        terminal: The pseudo-terminal, if there is one.
        socket: The socket, if there is one.

    Attributes:
        console: The console; None while the board starts anew.
    """

    def __init__(self, terminal: TerminalEnd | None, socket: SocketEnd | None) -> None:
        self.console: Console | None = None
        self.names = [end.name for end in (terminal, socket) if end]
        self._socket = socket
        self._ends: list[End] = [end for end in (terminal, socket) if end]
        self._shown = self._typed = b""

    def turn(self, seconds: float) -> None:
        """Carry what has come to where it goes; wait for it at most so long."""
        console = self.console
        full = any(end.full for end in self._ends)
        ready = self._ready(seconds, full)
        if self._socket and self._socket.door in ready:
            self._socket.welcome()
        for end in self._ends:
            if end.reads in ready:
                end.flush()
                self._typed = (self._typed + end.hear())[-_EARLY:]
        if console:
            console.type(self._typed)
            self._typed = b""
            if not full:
                self._shown += console.take_shown()
            console.take_lines()  # after it: what was shown came of these, and of no later ones
            if not console.lines:
                self.show()

    def _ready(self, seconds: float, full: bool) -> set[int]:
        """Wait until something is to be done; give the descriptors where."""
        poll, console = select.poll(), self.console
        if console and not console.ended:
            poll.register(console.link_in, select.POLLIN)
            if not full:
                poll.register(console.out, select.POLLIN)
        for end in self._ends:
            if end.reads >= 0 and not (console and console.full):
                wanted = select.POLLIN | (select.POLLOUT if end.writes >= 0 else 0)
                poll.register(end.reads, wanted)
        if self._socket:
            poll.register(self._socket.door, select.POLLIN)
        return {place for place, _ in poll.poll(max(seconds * 1000, 1))}

    def show(self) -> None:
        """Send what the board has shown; its parts have done by now what came before it."""
        shown, self._shown = self._shown, b""
        if shown:
            self.say(shown)

    def show_all(self) -> None:
        """Send also what it has shown since the last turn."""
        if self.console:
            self._shown += self.console.take_shown()
        self.show()

    def say(self, data: bytes) -> None:
        """Send bytes to every end."""
        for end in self._ends:
            end.say(data)

    def close(self) -> None:
        """Let the ends go."""
        for end in self._ends:
            end.close()
        self._ends.clear()
        self._socket = None
        self.names = []
