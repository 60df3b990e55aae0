"""Client: a board at the end of a cable, spoken with through MicroPython's own tool.

The protocol is `mpremote`'s; here are only the things that it leaves open: clear errors, files
that are whole or not at all, lines with their times, and pins that are let go.
"""

from __future__ import annotations

import ast
import contextlib
import hashlib
import io
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from ..errors import KitError
from .lines import Lines
from .ports import refused

__all__ = ["BoardFault", "Client", "digest"]

_PATIENCE_S = 10.0
_CHUNK = 512
_PART = ".part"
_GONE = "The board has gone while its program ran."
_STRANGE = (
    "is the cable in, is it a board with MicroPython, and is no other program speaking with it? "
    "Press its reset button and try again."
)
_OUT = (
    "motor power off first: with cells in it the board may go on driving. Then put the cable in "
    "again, or give the board its power back, and give the same command once more."
)
"""What to do with a board that does not answer from the first, and with one that did."""
_TOOLS = """
def _digest(name):
    import hashlib
    h = hashlib.sha256()
    with open(name, "rb") as file:
        while True:
            data = file.read(512)
            if not data:
                break
            h.update(data)
    return "".join(["%02x" % byte for byte in h.digest()])
def _marks():
    import os
    names = [e[0] for e in os.ilistdir("/") if e[1] & 0x8000]
    return [(name, (_digest(name), os.stat(name)[8])) for name in names]
def _rename(old, new):
    import os
    try:
        os.rename(old, new)
    except OSError:  # a file system that does not replace
        os.stat(old)
        os.remove(new)
        os.rename(old, new)
"""
"""What the client lays ready on the board, in its memory only."""


class BoardFault(KitError):
    """The board has raised an exception: `text` is its traceback."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n").strip()
        last = self.text.splitlines()[-1] if self.text else "an error without words"
        super().__init__(f"The board says: {last}", hint="look at the lines above it.")


def digest(data: bytes) -> str:
    """Give what a file's content is told by: SHA-256, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


class Client:
    """A board at a port; use it as a context manager.

    Joining stops the program that runs and starts the board anew without `main.py`, so that all
    pins are let go: nothing moves by it.  Leaving lets the pins go once more.

    Args:
        port: The port's name, or socket://HOST:PORT.

    Raises:
        KitError: The port cannot be opened, or what is there does not answer as a board does.
    """

    def __init__(self, port: str) -> None:
        from mpremote.transport import TransportError
        from mpremote.transport_serial import SerialTransport

        self.port, self._lost = port, (TransportError, OSError)
        try:
            self._wire = SerialTransport(port, timeout=_PATIENCE_S)
        except (TransportError, OSError, ValueError) as fault:
            raise refused(port, _reason(port) or fault) from fault
        try:
            self._join()
        except BaseException:
            self._close()
            raise

    def _join(self) -> None:
        quiet = contextlib.redirect_stdout(io.StringIO())
        with self._told("The board does not answer.", _STRANGE), quiet:
            for last in (False, True):
                try:
                    self._wire.enter_raw_repl()
                    self._wire.exec(_TOOLS)
                    return
                except self._lost:
                    if last:
                        raise

    @contextlib.contextmanager
    def _told(self, what: str, hint: str = _OUT) -> Iterator[None]:
        """Say in words what went wrong on the way, and what to do: a board that was there is out.

        Raises:
            KitError: What was found.
        """
        from mpremote.transport import TransportExecError

        try:
            yield
        except TransportExecError as fault:
            raise BoardFault(str(fault.error_output)) from fault
        except (*self._lost, IndexError, ValueError, SyntaxError) as fault:
            raise KitError(what, where=self.port, hint=hint) from fault

    # -- doing things ----------------------------------------------------------------

    def do(self, text: str) -> str:
        """Run a few lines on the board and give what they print.

        Raises:
            BoardFault: They fail there.
            KitError: The cable has been pulled.
        """
        with self._told("The board has gone while it was spoken with."):
            said: bytes = self._wire.exec(text)
        return said.decode("utf-8", "replace").replace("\r\n", "\n")

    def ask(self, expression: str) -> Any:
        """Give the value of an expression on the board: numbers, texts, lists of them."""
        said = self.do(f"print(repr({expression}))").strip()
        with self._told(f"The board's answer cannot be read: {said[:60]!r}.", _STRANGE):
            return ast.literal_eval(said)

    def run(
        self, text: str, seconds: float, line: Callable[[float, str], None],
        stop: threading.Event | None = None,
    ) -> str:  # fmt: skip
        """Run a program, tell each printed line with its time, and end it in the end.

        Args:
            text: The program.
            seconds: How long at the most, in s.
            line: Told of each line: s since the start, and the text.
            stop: Ends it when it is set.

        Returns:
            "finished", "time is up" or "stopped".

        Raises:
            BoardFault: It has ended with an exception.
            KitError: The cable has been pulled.
        """
        with self._told(_GONE):
            self._wire.exec_raw_no_follow(text)
        began = time.monotonic()
        lines = Lines(line, began)
        ended = "finished"
        while True:
            with self._told(_GONE):
                waiting = self._wire.serial.inWaiting()
                data = self._wire.serial.read(waiting) if waiting else b""
            if lines.take(data):
                break
            if ended == "finished" and stop is not None and stop.is_set():
                ended = "stopped"
                self.interrupt()
            elif ended == "finished" and time.monotonic() - began > seconds:
                ended = "time is up"
                self.interrupt()
            elif time.monotonic() - began > seconds + _PATIENCE_S:
                raise KitError("The board does not stop.", where=self.port,
                               hint="press its reset button; motor power off.")  # fmt: skip
            if not data:
                time.sleep(0.005)
        fault = lines.fault.decode("utf-8", "replace")
        if fault.strip() and not (ended != "finished" and "KeyboardInterrupt" in fault):
            raise BoardFault(fault)
        return ended

    def interrupt(self) -> None:
        """Press Ctrl-C."""
        with self._told("The board has gone."):
            self._wire.serial.write(b"\x03")

    def let_go(self) -> None:
        """Start the board anew without `main.py`: every pin is let go, so the motors are off."""
        with self._told("The board has gone."):
            self._wire.enter_raw_repl()
            self._wire.exec(_TOOLS)

    # -- files -----------------------------------------------------------------------

    def files(self) -> dict[str, str]:
        """Give the files at the top of the flash, name to digest."""
        return {name: mark for name, (mark, _) in self.marks().items()}

    def marks(self) -> dict[str, tuple[str, int]]:
        """Give of each of these files the digest, and when it was written, in s of the board's."""
        return dict(self.ask("_marks()"))

    def read(self, name: str) -> bytes:
        """Give a file's bytes.

        Raises:
            KitError: There is none, or the cable has been pulled.
        """
        with self._told(f"{name} cannot be read from the board."):
            return bytes(self._wire.fs_readfile(name, chunk_size=_CHUNK))

    def write(self, name: str, data: bytes) -> None:
        """Put a file on the flash, whole or not at all: the old one stays until it is there.

        Raises:
            KitError: It did not arrive as it was sent; the old one is there still.
        """
        part = name + _PART
        with self._told(f"{name} could not be written to the board."):
            self._wire.fs_writefile(part, data, chunk_size=_CHUNK)
        arrived = self.ask(f"_digest({part!r})")
        if arrived != digest(data):
            raise KitError(f"{name} has not arrived as it was sent.", where=self.port,
                           hint="another cable, no hub; then once more.")  # fmt: skip
        self.rename(part, name)

    def rename(self, old: str, new: str) -> None:
        """Give a file another name; one that has it is replaced."""
        self.do(f"_rename({old!r}, {new!r})")

    def sweep(self, names: Iterable[str]) -> None:
        """Take away what is left of files that were broken off half-way."""
        parts = {name + _PART for name in names} & self.files().keys()
        self.do("".join(f"__import__('os').remove({part!r})\n" for part in sorted(parts)))

    # -- the end -----------------------------------------------------------------------

    def __enter__(self) -> Client:
        """Give the client itself."""
        return self

    def __exit__(self, *fault: object) -> None:
        """Let the pins go, leave the plain prompt behind, and close the port."""
        with contextlib.suppress(KitError):
            self.let_go()
        with contextlib.suppress(*self._lost):
            self._wire.exit_raw_repl()
            self._wire.serial.flush()
        self._close()

    def _close(self) -> None:
        with contextlib.suppress(*self._lost, AttributeError, NotImplementedError):
            self._wire.close()


def _reason(port: str) -> OSError | None:
    """Give why a port cannot be opened, which the tool keeps to itself."""
    import serial

    try:
        serial.serial_for_url(port, exclusive=True).close()
    except OSError as fault:
        return fault
    except ValueError:
        return None
    return None
