"""Link: the one door between a program's process and the host.

LINK.md beside this file writes the language down.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

from ..errors import KitError, LinkError
from ..origin import Whose
from .confine import confined_start
from .engines import command, environment, shim_names
from .nursery import Born, born
from .one_core import on_one_core
from .order import SILENCE_S, Patience, make_order
from .ports import Hear

__all__ = ["Link"]

_GRACE_S = 1.0
_STARTING = 6.0
"""So many times the silence is borne before a process says that its program begins: on a busy
computer it takes long to start, which is no doing of the program's."""
_MAX_LINE = 64 * 1024


class Link:
    """A program's process, started, spoken with and ended.

    Use it as a context manager: leaving it ends the process, whatever happened.

    Args:
        files: The board's files, name to text.
        program: The file to run.
        engine: What interprets it.
        whose: Whose program it is: a stranger's is run confined, or not at all.
        silence_s: How long it may go without touching its board, in real s.
        seed: Seed of the board's random numbers.
        lines: Whether the program is to tell which of its lines is running, if its engine can.
        flash: What the board's flash holds, where that is more than the files.
        cause: Why the board has started.
        patience: For how long it is waited for in all; None for as long as it goes on.
        pace: How many times as long its computing takes as on the board of the tug as drawn.

    Raises:
        KitError: The program is a stranger's, and cannot be confined on this system.
    """

    def __init__(
        self, files: Mapping[str, str], program: str, engine: str, silence_s: float = SILENCE_S,
        seed: int = 0, lines: bool = False, *, whose: Whose,
        flash: Mapping[str, bytes] | None = None, cause: str = "power",
        patience: Patience | None = None, pace: float = 1.0,
    ) -> None:  # fmt: skip
        self.silence_s = silence_s
        self.silenced = False
        self.patience = patience or Patience()
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._lines: list[bytes] = []
        self._rest = b""
        self._heard = 0
        self._at_door = False
        self._done = threading.Event()
        argv = command(engine)
        order = make_order(files, program, seed, lines, flash, cause, pace, engine)
        if engine == "micropython":
            order["folder"] = self._unpack(order["files"])
            order["shims"] = shim_names()
        group: dict[str, Any] = {"start_new_session": True}
        if sys.platform == "win32":  # a process group of its own, to be signalled alone
            group = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
        try:
            start = confined_start(whose.confined, engine, order["folder"])
            self._process: Born | subprocess.Popen[bytes] = born(engine) or subprocess.Popen(
                argv, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
                bufsize=0, cwd=tempfile.gettempdir(), env=environment(),
                preexec_fn=start, **group,
            )  # fmt: skip
        except BaseException as fault:
            if self._folder:
                self._folder.cleanup()
            if isinstance(fault, subprocess.SubprocessError):  # a layer that was there before
                raise KitError("The program could not be confined, so it was not run.",
                               hint="`python3 checks doctor`") from fault  # fmt: skip
            raise
        assert self._process.stdin and self._process.stdout
        self._out = self._process.stdin.fileno()
        self._in = self._process.stdout.fileno()
        self._watch = threading.Thread(target=self._watch_silence, daemon=True)
        self._watch.start()
        self.reply(json.dumps(order).encode("ascii"))

    def _unpack(self, files: Mapping[str, str]) -> str:
        """Lay an empty file on disk for each of the board's.

        Of it the real interpreter makes the module in which it runs that one's text.
        """
        self._folder = tempfile.TemporaryDirectory(prefix="quayside-")
        for name in files:
            if name.endswith(".py") and Path(name).name == name:
                Path(self._folder.name, f"own_{name}").touch()
        return self._folder.name

    def talk(self, hear: Hear) -> None:
        """Hand each of the program's messages on, and back what comes of it.

        Returns when the program's process is gone; whatever else ends a trial is raised by `hear`.
        """
        with on_one_core(self._process.pid):
            while line := self.next():
                if answer := hear(line):
                    self.reply(answer)

    def next(self) -> bytes:
        """Give the next message, b"" when the process is gone."""
        lines = self._lines
        while not lines:
            self._at_door = True
            chunk = os.read(self._in, 65536)
            self._at_door = False
            if not chunk:
                return b""
            parts = (self._rest + chunk).split(b"\n")
            self._rest = parts.pop()
            if len(self._rest) > _MAX_LINE:
                raise LinkError(
                    "The program's process sent a message without end.",
                    hint="drive the board by its modules only: machine, time, neopixel ...",
                )
            if not parts:
                continue
            if not self._heard and not parts[0]:
                del parts[0]  # the process is there, and the program begins
            self._heard += 1
            parts.reverse()
            lines = self._lines = parts
        line = lines.pop() or b" "  # an empty line is no message, and not the end either
        if self.silenced and line[:1] != b"+" and line[1:2] not in (b"", b" "):
            return b""  # it was asked for its place, and something in it gave way: no message
        return line

    def reply(self, line: bytes) -> None:
        """Send one line to the program; a process that is gone shows at the next message."""
        data = line + b"\n"
        self._at_door = True
        try:
            while data:
                data = data[os.write(self._out, data) :]
        except OSError:  # it went in the meantime
            pass
        self._at_door = False

    def _watch_silence(self) -> None:
        """Stop a program that says nothing for too long: first ask it where it is, then end it.

        Only the time that the host waits for the program counts, not what the host
        itself needs to work out what tug and table do.  A program that always speaks just in
        time is stopped when it has been waited for long enough in all.
        """
        last, waited = -1, 0.0
        while not self._done.wait(0.25):
            if self._heard != last or not self._at_door:
                last, waited = self._heard, 0.0
                continue
            waited += 0.25
            self.patience.left_s -= 0.25
            borne = self.silence_s * (1.0 if self._heard else _STARTING)
            if waited >= borne + _GRACE_S:
                self._kill()
                return
            if (waited >= borne or self.patience.left_s <= 0) and not self.silenced:
                self.silenced = True
                waited = max(waited, borne)
                ask = getattr(signal, "CTRL_BREAK_EVENT", signal.SIGINT)
                self._process.send_signal(ask)

    def _kill(self) -> None:
        """End the process, and with it whatever it may have started."""
        if sys.platform != "win32":
            with contextlib.suppress(OSError):  # gone already
                os.killpg(self._process.pid, signal.SIGKILL)
        self._process.kill()

    def __enter__(self) -> Link:
        """Give the link itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        """End the process and close the door."""
        self._done.set()
        self._watch.join()  # it must not signal a number that is another's by then
        self._kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe:
                pipe.close()
        if self._folder:
            self._folder.cleanup()
