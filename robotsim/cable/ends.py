"""Ends: where a cable is plugged into the plugged tug, a pseudo-terminal or a socket."""

from __future__ import annotations

import contextlib
import os
import socket
import sys
import time
from pathlib import Path

from ..errors import KitError
from ..live.address import LOOPBACK

__all__ = ["End", "SocketEnd", "TerminalEnd"]

_MOST = 64 * 1024
"""Bytes that wait for a reader; then the program waits too, as long as somebody reads."""
_NOBODY_S = 1.0
"""Who has taken nothing for so long reads no more: what is said meanwhile is lost, as on a wire."""
_PIECE = 4096


class End:
    """One end: bytes that come, and bytes that wait to be taken."""

    def __init__(self) -> None:
        self._waiting = bytearray()
        self._taken_s = time.monotonic()

    @property
    def reads(self) -> int:
        """The descriptor at which something may come, -1 for none."""
        return -1

    @property
    def writes(self) -> int:
        """The descriptor at which something waits to be taken, -1 for none."""
        return self.reads if self._waiting else -1

    @property
    def full(self) -> bool:
        """Whether the program has to wait until somebody has read."""
        return len(self._waiting) >= _MOST and time.monotonic() - self._taken_s < _NOBODY_S

    def say(self, data: bytes) -> None:
        """Send bytes; what nobody takes is dropped in the end, the oldest first."""
        if not self._waiting:
            self._taken_s = time.monotonic()
        self._waiting += data
        self.flush()
        if len(self._waiting) > 2 * _MOST:
            del self._waiting[:-_MOST]

    def flush(self) -> None:
        """Send what waits, as far as it is taken now."""
        while self._waiting and self.reads >= 0:
            try:
                count = os.write(self.reads, self._waiting[:_PIECE])
            except BlockingIOError:
                return
            except OSError:
                self.hung_up()
                return
            self._taken_s = time.monotonic()
            del self._waiting[:count]

    def hear(self) -> bytes:
        """Give what has come, b"" for nothing."""
        if self.reads < 0:  # it has hung up meanwhile
            return b""
        try:
            data = os.read(self.reads, _PIECE)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            self.hung_up()
        return data

    def hung_up(self) -> None:
        """Take note that the cable has been pulled."""
        self._waiting.clear()

    def close(self) -> None:
        """Be an end no longer."""


class TerminalEnd(End):
    """A pseudo-terminal: for every program it looks like a serial port.

    Attributes:
        name: The port's name, such as /dev/pts/3.
    """

    def __init__(self) -> None:
        super().__init__()
        import pty
        import tty

        self._near, self._far = pty.openpty()
        # Held open by us too, and raw: else what the board says would be echoed to it between
        # two visitors.
        tty.setraw(self._far)
        os.set_blocking(self._near, False)
        self.name = os.ttyname(self._far)

    @property
    def reads(self) -> int:
        """The descriptor at which something may come."""
        return self._near

    def close(self) -> None:
        """Let the port go."""
        for end in (self._near, self._far):
            with contextlib.suppress(OSError):
                os.close(end)


class SocketEnd(End):
    """A socket at which one visitor at a time is let in.

    Args:
        host: The address to listen on.
        port: The port, 0 for any that is free.
        anyone: Whether also other users of this computer are let in.

    Attributes:
        name: What programs are told, such as socket://127.0.0.1:4567.

    Raises:
        KitError: The address is taken or is none of this computer's.
    """

    def __init__(self, host: str = LOOPBACK, port: int = 0, anyone: bool = False) -> None:
        super().__init__()
        self._visitor: socket.socket | None = None
        self._anyone = anyone
        try:
            self._door = socket.create_server((host, port))
        except OSError as fault:
            raise KitError(
                f"The tug cannot listen at {host}:{port}: {fault.strerror or fault}.",
                hint=f"--listen {host}:0 takes a port that is free; without --listen the tug has "
                "no socket, only its terminal.",
            ) from fault
        self._door.setblocking(False)
        self.name = f"socket://{host}:{self._door.getsockname()[1]}"

    @property
    def door(self) -> int:
        """The descriptor at which visitors knock."""
        return self._door.fileno()

    @property
    def reads(self) -> int:
        """The descriptor at which something may come, -1 while there is no visitor."""
        return self._visitor.fileno() if self._visitor else -1

    def welcome(self) -> None:
        """Let in whoever knocks, if there is nobody and they are the same user as we."""
        with contextlib.suppress(OSError):
            knocking, where = self._door.accept()
            if self._visitor or not (self._anyone or _same_user(where)):
                knocking.close()
                return
            knocking.setblocking(False)
            knocking.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self._visitor = knocking

    def say(self, data: bytes) -> None:
        """Send bytes to the visitor; without one they are lost, as on a wire."""
        if self._visitor:
            super().say(data)

    def hung_up(self) -> None:
        """See the visitor off."""
        super().hung_up()
        if self._visitor:
            self._visitor.close()
            self._visitor = None

    def close(self) -> None:
        """Listen no longer."""
        self.hung_up()
        self._door.close()


def _same_user(where: tuple[str, int]) -> bool:
    """Tell whether a connection on this computer is of our own user, where the system says so.

    *Source*: proc(5), /proc/net/tcp: local address, remote address, state, queues, timer,
    retransmissions, user.
    """
    if sys.platform != "linux":
        return True
    with contextlib.suppress(OSError, ValueError, IndexError):
        for row in Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]:
            words = row.split()
            if int(words[1].split(":")[1], 16) == where[1] and words[3] == "01":
                return int(words[7]) == os.getuid()
    return False
