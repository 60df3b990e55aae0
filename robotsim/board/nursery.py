"""Nursery: a process of which one for each program is forked, in place of a new start.

Most of what a start costs is the interpreter's own and the same each time.  Here it is paid once:
the nursery has read the boot files, is behind every wall that outlasts a fork, and waits.  It
never sees a program: each process that it forks puts up the other walls for itself, tries them,
and reads its program from a pipe of its own.  The nursery ends with its host, they end with the
nursery.  None is waited for before the host has ended it, so that its number stays its own.

Whoever runs many programs asks for it by `keep_nursery`: marking, and each notebook.  What is
forked is confined, whosever it is.  Where there can be no nursery, each is started as ever.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import socket
import subprocess
import tempfile
import threading
from collections.abc import Callable
from typing import Any

from .confine import nursery_walls
from .engines import environment, nursery_command

__all__ = ["Born", "born", "keep_nursery"]

_ANSWER_S = 30.0
"""Real time in s in which a nursery forks, also on a busy computer."""
_LOCK = threading.RLock()
"""Held by whoever speaks with the nursery, or has it made."""


class Born:
    """A process that was forked; it is spoken with and ended as one that was started.

    Attributes:
        pid: Its number, and that of its session.
        stdin: Its standard input.
        stdout: Its standard output.
    """

    def __init__(self, nursery: _Nursery, pid: int, stdin: int, stdout: int) -> None:
        self._nursery: _Nursery | None = nursery
        self.pid = pid
        self.stdin = open(stdin, "wb", buffering=0)
        self.stdout = open(stdout, "rb", buffering=0)

    def send_signal(self, number: int) -> None:
        """Send it a signal, if it has not been waited for."""
        if self._nursery is not None:
            with contextlib.suppress(OSError):  # the nursery has ended, and it too
                os.kill(self.pid, number)

    def kill(self) -> None:
        """End it."""
        self.send_signal(signal.SIGKILL)

    def wait(self) -> None:
        """Wait until it has ended, which has been asked for."""
        nursery, self._nursery = self._nursery, None
        if nursery is not None:
            with contextlib.suppress(OSError):  # the nursery has ended, and it too
                nursery.ask(b"%d" % self.pid)


class _Nursery:
    """The process of which others are forked.

    Attributes:
        ended: Whether it has ended; then another one has to be made.

    Raises:
        OSError: It cannot be started.
    """

    def __init__(self, walls: Callable[[], object], order: dict[str, Any]) -> None:
        self.ended = False
        self._door, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._door.settimeout(_ANSWER_S)
        with theirs:
            self._process = subprocess.Popen(
                nursery_command(), stdin=theirs.fileno(), stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL, cwd=tempfile.gettempdir(), env=environment(),
                preexec_fn=walls, start_new_session=True, pass_fds=[order["rules"]],
            )  # fmt: skip
        self._door.send(json.dumps(order).encode("ascii"))

    def ask(self, word: bytes, *ends: int) -> bytes:
        """Ask for something, with ends of pipes to go with it; give the answer.

        Whoever is broken off in between ends it: its answer would be taken for the next one's.

        Raises:
            OSError: There is none.
        """
        with _LOCK:
            try:
                socket.send_fds(self._door, [word], ends)
                answer = self._door.recv(64)
            except BaseException:
                self.end()
                raise
        if not answer:
            raise OSError("the nursery has ended")
        return answer

    def born(self) -> Born:
        """Have a process forked.

        Raises:
            OSError: It cannot be, or its walls did not hold.
        """
        order, orders = os.pipe()
        words, word = os.pipe()
        try:
            pid = int(self.ask(b"born", order, word))
            if pid <= 0:
                raise OSError("its walls did not hold")
        except BaseException:
            os.close(orders)
            os.close(words)
            raise
        finally:
            os.close(order)
            os.close(word)
        return Born(self, pid, orders, words)

    def end(self) -> None:
        """End it, and with it all that came of it."""
        self.ended = True
        self._door.close()
        self._process.kill()
        self._process.wait()


class _Kept:
    """What this process has settled."""

    wanted = False
    nursery: _Nursery | None = None


def keep_nursery() -> None:
    """Have programs forked of a nursery from now on, where there can be one."""
    _Kept.wanted = True


def born(engine: str) -> Born | None:
    """Give a confined process for a program; None where one has to be started as ever."""
    if engine != "cpython":
        return None
    with _LOCK:
        if not _Kept.wanted:
            return None
        try:
            if _Kept.nursery is None or _Kept.nursery.ended:
                if threading.current_thread() is not threading.main_thread():
                    return None  # the nursery ends with the thread that has started it
                walls = nursery_walls()
                _Kept.nursery = _Nursery(*walls) if walls else None
            if _Kept.nursery is not None:
                return _Kept.nursery.born()
        except (OSError, subprocess.SubprocessError):
            if _Kept.nursery is not None:
                _Kept.nursery.end()
                _Kept.nursery = None
        _Kept.wanted = False
        return None
