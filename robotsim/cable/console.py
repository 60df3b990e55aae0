"""Console: the real interpreter's process, its prompt and its pipes to the board."""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

from ..board.confine import kept_to
from ..board.engines import plugged, shim_names

__all__ = ["Console"]

_BREAK = 3
"""Ctrl-C."""
_AGAIN_S = 0.3
"""A second interrupt within this time would end the interpreter instead (its source: it takes
that for a program which does not listen)."""
_UNSURE_S = 0.03
"""For so long it may be about something else than a program or the prompt."""
_RAW, _PLAIN = b"raw REPL; CTRL-B to exit\r\n", b'Type "help()" for more information.\r\n'
_GREETING = re.compile(rb'MicroPython [^\r\n]*\r\nType "help\(\)"[^\r\n]*\r\n>>> \r\n')
_LONGEST = 64 * 1024
_LONE_NEWLINE = re.compile(rb"(?<!\r)\n")


class Console:
    """One start of the interpreter.

    *Model*: the process has four pipes: what is typed, what it shows, and two to the board.
    Ctrl-C is its interrupt signal while a program runs, and a character at the prompt; the
    system says which: a program runs if the process takes the signal (`SigCgt` of proc(5)).
    *Source*: MicroPython's source for this port (read): unix_mphal.c, pyexec.c.

    Args:
        flash: The folder that holds its files.
        cause: Why the board has started.
        seed: Seed of the board's random numbers.
        raw: Whether it begins in raw mode, without main.py, as after a soft reset there.
    """

    def __init__(self, flash: Path, cause: str, seed: int, raw: bool) -> None:
        hear, near = os.pipe()
        far, say = os.pipe()
        self.link_in, self._link_out = hear, say
        order = {"flash": str(flash), "cause": cause, "seed": seed, "main": not raw,
                 "shims": shim_names()}  # fmt: skip
        try:
            self._process = subprocess.Popen(
                [*plugged(), str(far), str(near)], bufsize=0, cwd=flash,
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                pass_fds=(far, near), start_new_session=True, preexec_fn=kept_to(flash),
                env={"PATH": os.environ.get("PATH", ""), "HOME": "/nowhere"},
            )  # fmt: skip
        finally:
            os.close(near)
            os.close(far)
        assert self._process.stdin and self._process.stdout
        self.out = self._process.stdout.fileno()
        self._typing = self._process.stdin.fileno()
        for pipe in (self.out, self._typing, self.link_in):
            os.set_blocking(pipe, False)
        self.raw = raw
        self.asking = self.deaf = self.broken = self.ready = self.ended = False
        self._booting, self._last, self._tail = raw, b"", b""
        self._typed = bytearray(b"\x01" if raw else b"")
        self._unsure_s, self._signalled_s = 0.0, -_AGAIN_S
        self._rest = self._held = b""
        self.lines: list[bytes] = []
        os.write(self._link_out, json.dumps(order).encode() + b"\n")

    # -- to the board ------------------------------------------------------------

    def take_lines(self) -> None:
        """Take what the process has to say to the board."""
        with contextlib.suppress(BlockingIOError):
            data = os.read(self.link_in, 65536)
            if not data:
                self.ended = True
            *lines, self._rest = (self._rest + data).split(b"\n")
            self.lines += lines
            if len(self._rest) > _LONGEST:
                self.ended = True

    def answer(self, line: bytes) -> None:
        """Answer the process; an answer carries a Ctrl-C that has come meanwhile."""
        self.hand_over()  # a Ctrl-C may wait for just this
        self.asking = False
        if line[:1] != b">":
            if self.broken:
                line, self.broken = b"!" + line, False
        with contextlib.suppress(OSError):
            os.write(self._link_out, line + b"\n")

    # -- what is shown -------------------------------------------------------------

    def take_shown(self) -> bytes:
        """Give what it has shown, with the newlines of a serial console."""
        found = b""
        with contextlib.suppress(BlockingIOError):
            while data := os.read(self.out, 65536):
                found += data
                if len(found) >= _LONGEST:
                    break
            else:
                self.ended = True
        if not found:
            return b""
        self._signalled_s = -_AGAIN_S  # it has heard the last one
        shown = _LONE_NEWLINE.sub(b"\r\n", self._last + found)[len(self._last) :]
        self._last = b"\r" if found[-1:] == b"\r" else b""
        return self._after_boot(self._watch(shown))

    def _watch(self, shown: bytes) -> bytes:
        """Take note which prompt it stands at: after a soft reset it is the same."""
        recent = self._tail + shown
        raw, plain = recent.rfind(_RAW), recent.rfind(_PLAIN)
        if max(raw, plain) >= 0 and not self._booting:
            self.raw = raw > plain
        self._tail = recent[-len(_PLAIN) :]
        return shown

    def _after_boot(self, shown: bytes) -> bytes:
        """Leave out the greeting of the prompt that is left at once for raw mode."""
        if not self._booting:
            return shown
        self._held += shown
        if _RAW in self._held:
            self._booting = False
            shown, self._held = _GREETING.sub(b"", self._held), b""
            return shown
        if b"MicroPython " in self._held:
            return b""
        shown, self._held = self._held, b""
        return shown

    # -- what is typed -------------------------------------------------------------

    def type(self, data: bytes) -> None:
        """Take what comes over the cable."""
        self._typed += data
        self.hand_over()

    @property
    def full(self) -> bool:
        """Whether no more should be typed for now."""
        return len(self._typed) > _LONGEST

    def hand_over(self) -> None:
        """Hand the process what was typed, and Ctrl-C in the way that it takes it now."""
        while self._typed:
            stop = -1 if self.deaf else self._typed.find(_BREAK)
            if stop == 0:
                if not self._interrupt():
                    return
                del self._typed[0]
                continue
            try:
                count = os.write(self._typing, self._typed[: stop if stop > 0 else None])
            except BlockingIOError:
                return
            except OSError:
                self._typed.clear()
                return
            del self._typed[:count]

    def _interrupt(self) -> bool:
        """Break off what runs; False if it has to be tried again in a moment."""
        if not self.ready:  # it cannot listen yet
            return False
        if self.asking:  # it waits for the board: the answer carries it
            self.broken, self._unsure_s = True, 0.0
            return True
        now_s = time.monotonic()
        self._unsure_s = self._unsure_s or now_s
        if self._break_program():
            self._unsure_s = 0.0
            return True
        if now_s - self._unsure_s < _UNSURE_S and not self._at_prompt():
            return False
        self._unsure_s = 0.0
        with contextlib.suppress(OSError):
            os.write(self._typing, bytes([_BREAK]))
        return True

    def _break_program(self) -> bool:
        """Send the signal, if a program runs: the process is held still while we look."""
        pid = self._process.pid
        try:
            os.kill(pid, signal.SIGSTOP)
            os.waitid(os.P_PID, pid, os.WSTOPPED | os.WEXITED | os.WNOWAIT)
            try:
                status = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace")
                found = re.search(r"^SigCgt:\s*([0-9a-f]+)", status, re.MULTILINE)
                runs = bool(found and int(found[1], 16) & 1 << (signal.SIGINT - 1))
                if runs and time.monotonic() - self._signalled_s > _AGAIN_S:
                    self._signalled_s = time.monotonic()
                    os.kill(pid, signal.SIGINT)
            finally:
                os.kill(pid, signal.SIGCONT)
        except OSError:  # it has ended
            return True
        return runs

    def _at_prompt(self) -> bool:
        """Tell whether it waits for what is typed, where the system tells us."""
        with contextlib.suppress(OSError):
            call = Path(f"/proc/{self._process.pid}/syscall").read_text(encoding="ascii")
            return call.startswith("0 0x0 ") if sys.maxsize > 1 << 32 else False
        return False

    # -- the end ---------------------------------------------------------------------

    def end(self) -> None:
        """End the process, whatever it is about."""
        with contextlib.suppress(OSError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe:
                pipe.close()
        for end in (self.link_in, self._link_out):
            os.close(end)
