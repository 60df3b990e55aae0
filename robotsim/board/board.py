"""Board: the host's side of the microcontroller, message by message.

The board owns the clock.  It knows nothing of robots: what its pins are
connected to is a `World` that the trial gives it.
"""

from __future__ import annotations

from typing import Any

from ..converter import Converter
from ..errors import LinkError
from ..recording import Event
from ..units import MS, SECOND, US
from . import costs
from .analog import Analog
from .callbacks import Callbacks
from .diary import Diary
from .faults import Absorbed, BoardFault, Restart, TimeUp
from .flash import FlashUnit
from .pins import Pins
from .ports import Door, World
from .radio import Radio, RadioUnit
from .unit import Handlers
from .wires import Wires
from .words import NOT_OURS, RESETS, computed, read_report

__all__ = ["Board"]

_MAX_EVENTS = 1_000_000
_FOREVER_US = 10**12
_MAX_FAULTS = 100
_NO_CALL_NS = 20 * MS
"""For how long a program may compute before it says so, where no callback is due."""
_ABSORBED_NS = 20 * SECOND
"""Who computes for so long without touching the board is taken for lost."""
_LOOKS_AHEAD = 1000
"""Looks at the clock that a program may take before it must ask again."""


class Board:
    """Pins, clock and units; `serve` carries out a program's messages until it ends.

    Args:
        world: What the pins are connected to.
        door: Where messages come from and replies go.
        limit_ns: When the trial's time is over.
        serial: Number from which the board's own is made.
        start_ns: When it has started; its ticks count from there.
        files: What its flash holds, name to bytes; changed in place.
        radio: What is on the air; None for a board without a radio.
        converter: Its analogue-to-digital converter; left out, one without noise.
    """

    def __init__(
        self, world: World, door: Door, limit_ns: int, serial: int = 0, start_ns: int = 0,
        files: dict[str, bytes] | None = None, radio: Radio | None = None,
        converter: Converter | None = None,
    ) -> None:  # fmt: skip
        self.world, self.door, self.limit_ns, self.serial = world, door, limit_ns, serial
        self.start_ns = self.now_ns = start_ns
        self.events: list[Event] = []
        self.faults: list[dict[str, Any]] = []
        self.lines: list[tuple[int, int, int]] = []
        self.diary = Diary(start_ns)
        self.computing_since = start_ns
        self.computing_at = 0
        self._in_callback = False
        self._ended: dict[str, Any] | None = None
        self.pins, self.wires = Pins(self), Wires(self)
        self.analog = Analog(self, converter or Converter())
        self.callbacks = Callbacks(self, self.pins)
        self.flash = FlashUnit(self, {} if files is None else files)
        self.radio = RadioUnit(self, radio)
        self._handlers: Handlers = {
            b"s": self._sleep, b"S": self._sleep_long, b"T": self._ticks, b"Y": self._sync,
            b"c": self._count_looks, b"N": self._identify, b"R": self._reset,
            b"l": self._note_line, b"H": self._doze, b"z": self._compute, b"Z": self._compute_on,
            b"q": self._finish, b"x": self._fail, b"w": self._fault,
        }  # fmt: skip
        for unit in (
            self.pins, self.analog, self.wires, self.callbacks, self.flash, self.radio,
        ):  # fmt: skip
            self._handlers |= unit.handlers()

    # -- serving -------------------------------------------------------------

    def serve(self) -> dict[str, Any]:
        """Carry out messages until the program has ended, and give its last word.

        Returns:
            {"kind": "finished"}, or the exception that ended it: kind, message
            and calls (a list of [file, line, function]); empty if the process
            went without a word.

        Raises:
            TimeUp: The trial's time is over.
            Absorbed: The program computes, and has not touched its board for very long.
            LinkError: A message that is not in the link's language.
        """
        while self._ended is None:
            if not self._step():
                return {}
        return self._ended

    def _step(self) -> bool:
        line = self.door.next()
        if not line:
            return False
        op, *words = line.split(b" ")
        spent = 0
        if op[:1] == b"+":
            try:
                spent, op = computed(op[1:]), words.pop(0)
            except NOT_OURS as fault:
                raise self._nonsense(line) from fault
        handler = self._handlers.get(op)
        if op == b"b":
            spent = 0  # the sample ahead was taken after just that time
        elif self.analog.ahead and op != b"l":
            self.analog.ahead = []  # something else came first: those samples were never taken
        if op == b"z" or op == b"Z":
            self.now_ns += spent or costs.NOTICE  # none is free
        else:
            self.now_ns += spent
            self.computing_since = self.now_ns
        if op == b"." and self._in_callback:
            self._in_callback = False
            return True
        try:
            if handler is None:
                raise ValueError("unknown message")
            answer = b"=" + (handler(*words) or b"")
        except BoardFault as fault:
            answer = f"-{fault.kind} {fault.message}".encode()
        except NOT_OURS as fault:
            raise self._nonsense(line) from fault
        if self._ended is None:
            self._check_limits()
            if op.isupper():
                if self.callbacks:
                    self._hand_over()
                self.door.reply(answer)
        return True

    @staticmethod
    def _nonsense(line: bytes) -> LinkError:
        return LinkError(
            f"The program's process sent {line[:60]!r}, which the board does not understand.",
            hint="drive the board by its modules only: machine, time, neopixel ...",
        )

    def _check_limits(self) -> None:
        if self.now_ns >= self.limit_ns:
            raise TimeUp
        if len(self.events) + len(self.lines) > _MAX_EVENTS:
            raise LinkError(
                f"The program has done more than {_MAX_EVENTS:,} things with its board.",
                hint="let its loops sleep, or give the trial less time.",
            )

    def _note_line(self, file: bytes, line: bytes) -> None:
        """Note which line of the program is running; that is no act of the board's and free."""
        number = int(line)
        if not 0 < number < 1 << 31:
            raise ValueError(number)
        self.lines.append((self.now_ns, int(file), number))

    def note(self, kind: str, *data: Any) -> None:
        """Record an event at the present time."""
        self.events.append(Event(self.now_ns, kind, data))

    def _hand_over(self) -> None:
        """Let the program run the callbacks that are due."""
        while not self._in_callback:
            alarm = self.callbacks.take(self.now_ns)
            if alarm is None:
                return
            if self.now_ns >= self.limit_ns:  # callbacks that come faster than they run
                raise TimeUp
            self.note("call", alarm.source, alarm.number)
            self.now_ns += costs.CALL
            self._in_callback = True
            self.door.reply(f">{alarm.source} {alarm.number}".encode())
            while self._in_callback:
                if not self._step() or self._ended is not None:
                    return

    # -- time ----------------------------------------------------------------

    def _ticks(self) -> bytes:
        """Give the clock, what a look at it takes, and how many more need not ask."""
        self.now_ns += costs.TICKS
        # The running line is told with its time, and a callback may come at any.
        now_us = (self.now_ns - self.start_ns) // US
        if self.lines or self.callbacks:
            return b"%d" % now_us
        return b"%d %d %d" % (now_us, costs.TICKS // US, _LOOKS_AHEAD)

    def _count_looks(self, count: bytes) -> None:
        """Take note of looks at the clock that did not ask."""
        looks = int(count)
        if not 0 < looks <= _LOOKS_AHEAD:
            raise ValueError(looks)
        self.now_ns += looks * costs.TICKS

    def _sleep(self, duration_us: bytes) -> None:
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.events.append(Event(self.now_ns, "sleep", (duration,)))
        self.diary.rest(self.now_ns, self.now_ns + duration)
        self.now_ns += duration + costs.TICKS

    def _sleep_long(self, duration_us: bytes) -> None:
        """Sleep while callbacks may come: up to each in turn, then on."""
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.note("sleep", duration)
        self.pass_until(self.now_ns + duration + costs.TICKS)

    def pass_until(self, until: int) -> None:
        """Let time pass, and callbacks have their turn."""
        while not self._in_callback and self._ended is None:
            due = self.callbacks.due(min(until - 1, self.limit_ns)) if self.callbacks else None
            if due is None:
                break
            self._rest_until(due)
            if self.now_ns >= self.limit_ns:
                raise TimeUp
            self._hand_over()
        self._rest_until(until)

    def _rest_until(self, until: int) -> None:
        """Let time pass in which nothing is done."""
        self.diary.rest(self.now_ns, until)
        self.now_ns = max(self.now_ns, until)

    def _doze(self, duration_us: bytes) -> None:
        """Sleep, but only until the first callback is due; it then gets its turn."""
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.note("sleep", duration)
        until = self.now_ns + duration + costs.TICKS
        if self.callbacks and not self._in_callback:
            due = self.callbacks.due(min(until, self.limit_ns))
            until = until if due is None else due
        self._rest_until(until - costs.TICKS)
        self.now_ns += costs.TICKS

    def _identify(self) -> bytes:
        """Give the board's six-byte number: a locally administered address with the serial."""
        self.now_ns += costs.TICKS
        return (0x02_51_00_00_00_00 + self.serial % (1 << 32)).to_bytes(6, "big").hex().encode()

    def _reset(self, why: bytes) -> None:
        raise Restart(self.now_ns, RESETS[why])

    def _compute(self, place: bytes) -> None:
        """Take note that the program computes, and where it is."""
        self.computing_at = int(place)
        if self.now_ns - self.computing_since > _ABSORBED_NS:
            raise Absorbed

    def _compute_on(self, place: bytes) -> bytes:
        """Take note of the same, and give for how many us no callback can come."""
        self._compute(place)
        return b"%d" % (self.callbacks.quiet(_NO_CALL_NS) // US)

    def _sync(self) -> None:
        """Only give the callbacks that are due their turn."""
        self.now_ns += costs.NOTICE

    # -- the end -------------------------------------------------------------

    def _finish(self) -> None:
        self._ended = {"kind": "finished"}

    def _fail(self, *words: bytes) -> None:
        self._ended = read_report(words)

    def _fault(self, *words: bytes) -> None:
        """Note an exception in a callback: the board prints it, and the program goes on."""
        report = read_report(words)
        if len(self.faults) < _MAX_FAULTS:
            self.faults.append(report)
        file, line, _ = report["calls"][-1] if report["calls"] else ("", 0, "")
        self.note("fault", report["kind"], report["message"], file, line)
        text = f"Unhandled exception in callback: {report['kind']}: {report['message']}\n"
        self.wires.write(text)
