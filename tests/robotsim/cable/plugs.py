"""A plugged tug for tests, and its judge: the public client, from its own package."""

from __future__ import annotations

import contextlib
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from robotsim.cable.order import PlugOrder
from robotsim.cable.plug import Plug

CLIENT = [str(Path(sys.executable).with_name("mpremote"))]


@contextlib.contextmanager
def plugged(flash: Path, **more: object) -> Iterator[Plug]:
    """Plug a tug in for as long as the block lasts."""
    plug = Plug(PlugOrder(flash, **more)).start()  # type: ignore[arg-type]
    try:
        yield plug
    finally:
        plug.pull()


def client(plug: Plug | str, *words: str, seconds: float = 60.0) -> str:
    """Run the public client to its end and give what it shows; it must be content."""
    port = plug if isinstance(plug, str) else plug.port
    done = subprocess.run([*CLIENT, "connect", port, *words], capture_output=True, timeout=seconds)
    assert done.returncode == 0, (words, done.stdout, done.stderr)
    return done.stdout.decode().replace("\r\n", "\n")


def started(plug: Plug, *words: str) -> subprocess.Popen[bytes]:
    """Start the public client, to be broken off."""
    return subprocess.Popen([*CLIENT, "connect", plug.port, *words],
                            stdout=subprocess.PIPE, stderr=subprocess.STDOUT)  # fmt: skip


def until(running: subprocess.Popen[bytes], text: bytes, seconds: float = 30.0) -> bytes:
    """Read what a client shows until a text has come."""
    assert running.stdout
    found, end = b"", time.monotonic() + seconds
    while text not in found:
        left = end - time.monotonic()
        assert left > 0 and select.select([running.stdout], [], [], left)[0], found
        piece = os.read(running.stdout.fileno(), 4096)
        assert piece, found
        found += piece
    return found


def pull(running: subprocess.Popen[bytes]) -> None:
    """Pull its cable: the client is gone from one moment to the next."""
    running.send_signal(signal.SIGKILL)
    running.wait()
    assert running.stdout
    running.stdout.close()


class Terminal:
    """A person at the client's `repl`, on a terminal of their own."""

    def __init__(self, plug: Plug) -> None:
        self.near, far = pty.openpty()
        self.running = subprocess.Popen([*CLIENT, "connect", plug.port, "repl"], stdin=far,
                                        stdout=far, stderr=far, start_new_session=True)  # fmt: skip
        os.close(far)
        self.seen = b""

    def type(self, text: str) -> None:
        """Type on the keyboard."""
        os.write(self.near, text.encode())

    def see(self, pattern: str, seconds: float = 30.0) -> str:
        """Wait until something is on the screen; what was up to there is not seen again."""
        end = time.monotonic() + seconds
        while not (found := re.search(pattern.encode(), self.seen)):
            left = end - time.monotonic()
            assert left > 0 and select.select([self.near], [], [], left)[0], self.seen
            self.seen += os.read(self.near, 4096)
        self.seen = self.seen[found.end() :]
        return found[0].decode()

    def leave(self) -> None:
        """End the client by its own key."""
        self.type("\x1d")
        self.running.wait(20)
        os.close(self.near)
