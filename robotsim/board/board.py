"""Board: the host's side of the microcontroller, a function: a message in, what goes back out.

The board owns the clock.  It knows nothing of robots: what its pins are
connected to is a `World` that the trial gives it.  Nor does it know where its
program runs: whoever carries the messages calls `hear`.
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
from .faults import Absorbed, BoardFault, Ended, Restart, TimeUp
from .flash import FlashUnit
from .pins import Pins
from .ports import World
from .radio import Radio, RadioUnit
from .unit import Handlers, Waiting
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
    """Pins, clock and units; `hear` carries out a program's messages, one after the other.

    Args:
        world: What the pins are connected to.
        limit_ns: When the trial's time is over.
        serial: Number from which the board's own is made.
        start_ns: When it has started; its ticks count from there.
        files: What its flash holds, name to bytes; changed in place.
        radio: What is on the air; None for a board without a radio.
        converter: Its analogue-to-digital converter; left out, one without noise.
    """

    def __init__(
        self, world: World, limit_ns: int, serial: int = 0, start_ns: int = 0,
        files: dict[str, bytes] | None = None, radio: Radio | None = None,
        converter: Converter | None = None,
    ) -> None:  # fmt: skip
        self.world, self.limit_ns, self.serial = world, limit_ns, serial
        self.start_ns = self.now_ns = start_ns
        self.events: list[Event] = []
        self.faults: list[dict[str, Any]] = []
        self.lines: list[tuple[int, int, int]] = []
        self.diary = Diary(start_ns)
        self.computing_since = start_ns
        self.computing_at = 0
        self._owed: Waiting[bytes] | None = None  # goes on when a callback has ended
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

    # -- messages ------------------------------------------------------------

    def hear(self, line: bytes) -> bytes:
        """Carry out one message.

        Returns:
            What goes back to the program, b"" for nothing: an answer, or a callback.  The end of
            a callback is a message too; then comes the next one, or the answer still owed.

        Raises:
            Ended: That was the program's last word.
            TimeUp: The trial's time is over.
            Absorbed: The program computes, and has not touched its board for very long.
            Restart: The board starts anew.
            LinkError: A message that is not in the link's language.
        """
        words = line.split(b" ")
        try:
            spent = computed(words.pop(0)[1:]) if line[:1] == b"+" else 0
            op = words.pop(0)
            self._spend(op, spent)
            if op == b"." and self._owed:
                going, self._owed = self._owed, None
                return self._go_on(going)
            given = self._handlers[op](*words)
            if given is not None and not isinstance(given, bytes):
                return self._go_on(self._wait(given))
            answer = b"=" + (given or b"")
        except BoardFault as fault:
            answer = fault.answer
        except NOT_OURS as fault:
            raise LinkError(
                f"The program's process sent {line[:60]!r}, which the board does not understand.",
                hint="drive the board by its modules only: machine, time, neopixel ...",
            ) from fault
        self._check_limits()
        if not op.isupper():
            return b""
        return self._go_on(self._hand_over(answer)) if self.callbacks else answer

    def _spend(self, op: bytes, spent: int) -> None:
        """Let the time pass that the program has computed before a message."""
        if op == b"b":
            spent = 0  # the sample ahead was taken after just that time
        elif self.analog.ahead and op != b"l":
            self.analog.ahead = []  # something else came first: those samples were never taken
        if op == b"z" or op == b"Z":
            self.now_ns += spent or costs.NOTICE  # none is free
        else:
            self.now_ns += spent
            self.computing_since = self.now_ns

    def _go_on(self, going: Waiting[bytes]) -> bytes:
        """Let time pass up to the next callback, or else to the answer."""
        try:
            callback = next(going)
        except StopIteration as done:
            return bytes(done.value)
        self._owed = going
        return callback

    def _wait(self, given: Waiting[bytes | None]) -> Waiting[bytes]:
        """Carry out what lets time pass, and give its answer."""
        try:
            answer = b"=" + ((yield from given) or b"")
        except BoardFault as fault:
            answer = fault.answer
        self._check_limits()
        return (yield from self._hand_over(answer))

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

    def _hand_over(self, answer: bytes = b"") -> Waiting[bytes]:
        """Let the program run the callbacks that are due, one by one; give the answer after it."""
        while self._owed is None and (alarm := self.callbacks.take(self.now_ns)):
            if self.now_ns >= self.limit_ns:  # callbacks that come faster than they run
                raise TimeUp
            self.note("call", alarm.source, alarm.number)
            self.now_ns += costs.CALL
            yield f">{alarm.source} {alarm.number}".encode()
        return answer

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

    def _sleep_long(self, duration_us: bytes) -> Waiting[None]:
        """Sleep while callbacks may come: up to each in turn, then on."""
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.note("sleep", duration)
        return self.pass_until(self.now_ns + duration + costs.TICKS)

    def pass_until(self, until: int) -> Waiting[None]:
        """Let time pass, and callbacks have their turn."""
        while self._owed is None:
            due = self.callbacks.due(min(until - 1, self.limit_ns)) if self.callbacks else None
            if due is None:
                break
            self._rest_until(due)
            if self.now_ns >= self.limit_ns:
                raise TimeUp
            yield from self._hand_over()
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
        if self.callbacks and self._owed is None:
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
        raise Ended({"kind": "finished"})

    def _fail(self, *words: bytes) -> None:
        raise Ended(read_report(words))

    def _fault(self, *words: bytes) -> None:
        """Note an exception in a callback: the board prints it, and the program goes on."""
        report = read_report(words)
        if len(self.faults) < _MAX_FAULTS:
            self.faults.append(report)
        file, line, _ = report["calls"][-1] if report["calls"] else ("", 0, "")
        self.note("fault", report["kind"], report["message"], file, line)
        text = f"Unhandled exception in callback: {report['kind']}: {report['message']}\n"
        self.wires.write(text)
