"""Plug: the simulated tug with a serial port of its own, the real interpreter behind it."""

from __future__ import annotations

import atexit
import contextlib
import os
import threading
import time

from ..board.board import Board
from ..board.diary import Diary
from ..board.faults import Absorbed, Ended, Restart, TimeUp
from ..errors import KitError, LinkError
from ..live.session import Look
from ..radio import tug_name
from ..session import board_seed
from ..units import MS, SECOND
from . import register
from .console import Console
from .ends import SocketEnd, TerminalEnd
from .miswired import FAULTS
from .order import PlugOrder, claim
from .switch import Switch
from .tug import PluggedTug

__all__ = ["Plug"]

_TURN_S = 0.01
_SHORT_NS = 100_000
"""Shorter waits are let be: the next message waits for them as well."""
_BOOT_NS = 350 * MS
"""As in a trial, from power to the first line."""
_FOREVER_NS = 1 << 62
_EVENTS = 10_000
_PATIENCE_S = 20.0
_FAST_DEATHS = 3
_SOFT = b"MPY: soft reboot\r\n"


class Plug:
    """A tug that is plugged in until it is pulled.

    It runs in a thread of its own: `start`, then `pull`.

    Args:
        order: What and where.

    Raises:
        KitError: The flash is in use by another plug, or the port is taken.
    """

    def __init__(self, order: PlugOrder) -> None:
        self.order, self.name = order, tug_name(order.serial)
        self._lock = claim(order.flash)
        self._switch = Switch(
            TerminalEnd() if order.terminal else None,
            SocketEnd(*order.listen, order.anyone) if order.listen else None,
        )
        self._stop = threading.Event()
        self._up = threading.Event()
        self._fault: BaseException | None = None
        self._board: Board | None = None
        self.tug = PluggedTug(order.serial, order.table, order.seed, self._hold,
                              FAULTS.get(order.fault), order.twin)  # fmt: skip
        self._thread = threading.Thread(target=self._run, name="plug", daemon=True)

    # -- for whoever plugs it in -----------------------------------------------------

    def start(self) -> Plug:
        """Plug it in, and wait until its board has started.

        Raises:
            KitError: The interpreter is missing, or does not start.
        """
        self._thread.start()
        self._up.wait(_PATIENCE_S)
        if self._fault or not self._up.is_set():
            self.pull()
            raise self._fault or KitError("The board did not start.", hint="try once more.")
        register.tell(self.port, self.order.flash, self.order.serial)
        atexit.register(self.pull)
        return self

    @property
    def port(self) -> str:
        """Where programs find it: the port's name, or the socket's address."""
        return self.ports[0]

    @property
    def ports(self) -> list[str]:
        """Every name under which programs find it."""
        return self._switch.names

    @property
    def look(self) -> Look:
        """How the tug stands now."""
        return self.tug.look

    @property
    def running(self) -> bool:
        """Whether it is still plugged in."""
        return self._thread.is_alive()

    def pull(self) -> None:
        """Pull it out: the program is gone, the flash stays."""
        self._stop.set()
        if self._thread.is_alive() and threading.current_thread() is not self._thread:
            self._thread.join(_PATIENCE_S)
        self._switch.close()
        if self._lock >= 0:
            register.forget()
            os.close(self._lock)
            self._lock = -1
        atexit.unregister(self.pull)

    def wait(self) -> None:
        """Wait until it is pulled.

        Raises:
            KitError: Its interpreter could not be started any more.
        """
        while self._thread.is_alive():
            self._thread.join(0.2)
        if self._fault:
            raise self._fault

    def __repr__(self) -> str:
        """Say which tug, and where it is."""
        return f"{self.name}, plugged in at {' and '.join(self.ports) or 'nothing any more'}"

    # -- one start of the board after the other ------------------------------------------

    def _run(self) -> None:
        try:
            self._keep_going()
        except BaseException as fault:  # told by `start` or `wait`, in the reader's own thread
            self._fault = fault
            self._up.set()

    def _keep_going(self) -> None:
        cause, raw, deaths = "power", False, 0
        while not self._stop.is_set():
            began_s = time.monotonic()
            console = self._switch.console = Console(
                self.order.flash, cause, board_seed(self.order.seed, self.order.serial), raw
            )
            try:
                cause, raw = self._serve(), console.raw
            finally:
                self._switch.console = None
                console.end()
            if self._stop.is_set():
                return
            self.tug.let_go()
            quick = not console.ready and time.monotonic() - began_s < 1.0
            deaths = deaths + 1 if quick else 0
            if deaths >= _FAST_DEATHS:
                raise KitError("The interpreter ends as soon as it is started.",
                               hint="reinstall the kit: `python3 lessons`.")  # fmt: skip
            if cause == "machine.soft_reset()":
                self._switch.say(_SOFT)
            else:
                raw = False
                self._pause(_BOOT_NS)

    def _serve(self) -> str:
        """Let one start of the interpreter drive the board to its end, and give why it ended."""
        tug = self.tug
        board = self._board = Board(
            tug.world, _FOREVER_NS, tug.serial, tug.clock.now_ns, {}, tug.radio,
            tug.world.converter,
        )  # fmt: skip
        try:
            while line := self._next():
                if answer := board.hear(line):
                    self._reply(answer)
        except Restart as restart:
            return restart.cause
        except (Ended, TimeUp, Absorbed):
            pass
        except LinkError as fault:
            self._switch.say(f"\r\n(board: {fault.what})\r\n".encode())
        finally:
            self._board = None
        self._switch.show_all()
        return "machine.soft_reset()"

    # -- the program's messages -----------------------------------------------------------

    def _next(self) -> bytes:
        """Give the next message of the program, b"" when its process has gone."""
        console, board = self._switch.console, self._board
        assert console and board
        while True:
            while console.lines:
                line = console.lines.pop(0)
                if line[:1] == b"!":
                    if not self._own(line[1:]):
                        return b""
                    continue
                console.asking = line[:1].isupper() or line == b"."  # after a callback it waits on
                self._hold(board.now_ns)
                board.now_ns = max(board.now_ns, self.tug.clock.now_ns)
                return line
            self._switch.show()
            if console.ended or self._stop.is_set():
                return b""
            self._turn(_TURN_S)
            if len(board.events) > _EVENTS:
                board.events.clear()
                board.diary = Diary(board.now_ns)

    def _reply(self, line: bytes) -> None:
        """Answer the program, not before it is time."""
        assert self._switch.console and self._board
        self._hold(self._board.now_ns)
        self._switch.console.answer(line)

    def _own(self, line: bytes) -> bool:
        """Do what the boot file asks for; False if the board is to start anew."""
        console = self._switch.console
        assert console
        verb, _, word = line.partition(b" ")
        console.asking = True
        if verb == b"raw":
            self._switch.show_all()
            with contextlib.suppress(ValueError):
                self._switch.say(bytes.fromhex(word.decode("ascii", "replace")))
        elif verb == b"kbd":
            console.deaf = word == b"-1"
        elif verb == b"ready":
            console.ready = True
            self._up.set()
        if verb != b"again":
            console.answer(b"=")
        return verb != b"again"

    # -- time, and the cable ----------------------------------------------------------------

    def _hold(self, until_ns: int) -> None:
        """Wait until the clock shows a time; the cable is looked after meanwhile."""
        clock = self.tug.clock
        while (ahead := until_ns - clock.now_ns) > _SHORT_NS:
            if self._stop.is_set():
                raise TimeUp
            if ahead < 2 * MS:
                time.sleep(ahead / SECOND)
            else:
                self._turn(min((ahead - MS) / SECOND, _TURN_S))

    def _pause(self, duration_ns: int) -> None:
        with contextlib.suppress(TimeUp):
            self._hold(self.tug.clock.now_ns + duration_ns)

    def _turn(self, seconds: float) -> None:
        """Look after the cable for a moment, and bring the tug to the present."""
        self._switch.turn(seconds)
        self.tug.tick()
