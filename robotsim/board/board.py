"""Board: the host's side of the microcontroller, message by message.

The board owns the clock.  It knows nothing of robots: what its pins are
connected to is a `World` that the trial gives it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from ..errors import LinkError
from ..recording import Event
from ..units import US
from ..wiring import FLOATING, Signal, duty_share
from . import costs
from .adc import counts, microvolts
from .faults import BoardFault, Restart, TimeUp
from .ports import Door, World
from .pwm import PwmUnit
from .words import NOT_OURS, pin_number, read_report

__all__ = ["Board"]

_MAX_AHEAD = 7
_MAX_FRAME = 30_000
_MAX_EVENTS = 1_000_000
_FOREVER_US = 10**12
_TIMERS = 4
_MAX_FAULTS = 100


@dataclass
class _Alarm:
    """A callback that is due at a time: from a timer, a pin or the radio."""

    due_ns: int
    source: str
    number: int
    period_ns: int = 0


class Board:
    """Pins, clock and units; `serve` carries out a program's messages until it ends.

    Args:
        world: What the pins are connected to.
        door: Where messages come from and replies go.
        limit_ns: When the trial's time is over.
        serial: Number from which the board's own is made.
        start_ns: When it has started; its ticks count from there.
    """

    def __init__(
        self, world: World, door: Door, limit_ns: int, serial: int = 0, start_ns: int = 0
    ) -> None:
        self.world, self.door, self.limit_ns, self.serial = world, door, limit_ns, serial
        self.start_ns = self.now_ns = start_ns
        self.events: list[Event] = []
        self.faults: list[dict[str, Any]] = []
        self.pwm = PwmUnit()
        self._outputs: dict[int, int] = {}
        self._pulls: dict[int, str] = {}
        self._seen: dict[int, int] = {}
        self._attenuations: dict[int, int] = {}
        self._ahead: list[Event] = []
        self._alarms: list[_Alarm] = []
        self._in_callback = False
        self._ended: dict[str, Any] | None = None
        self._handlers: dict[bytes, Callable[..., bytes | None]] = {
            b"o": self._set_pin, b"m": self._set_mode, b"p": self._pwm_stop,
            b"d": partial(self._set_duty, "u16"), b"e": partial(self._set_duty, "10"),
            b"g": partial(self._set_duty, "ns"), b"n": self._frame, b"t": self._print,
            b"s": self._sleep, b"a": self._attenuate, b"j": self._timer_stop,
            b"P": self._pwm_start, b"Q": self._pwm_read, b"A": self._adc, b"U": self._adc_uv,
            b"I": self._read_pin, b"T": self._ticks, b"S": self._sleep_long, b"Y": self._sync,
            b"X": self._transfer, b"J": self._timer, b"q": self._finish, b"x": self._fail,
            b"w": self._fault, b"N": self._identify, b"R": self._reset,
            b"b": self._take_sample,
        }  # fmt: skip

    # -- serving -------------------------------------------------------------

    def serve(self) -> dict[str, Any]:
        """Carry out messages until the program has ended, and give its last word.

        Returns:
            {"kind": "finished"}, or the exception that ended it: kind, message
            and calls (a list of [file, line, function]); empty if the process
            went without a word.

        Raises:
            TimeUp: The trial's time is over.
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
        handler = self._handlers.get(op)
        if self._ahead and op != b"b":
            self._ahead = []  # something else came first: those samples were never taken
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
            raise LinkError(
                f"The program's process sent {line[:60]!r}, which the board does not understand.",
                hint="drive the board by its modules only: machine, time, neopixel ...",
            ) from fault
        if self._ended is None:
            self._check_limits()
            if op.isupper():
                if self._alarms:
                    self._hand_over()
                self.door.reply(answer)
        return True

    def _check_limits(self) -> None:
        if self.now_ns >= self.limit_ns:
            raise TimeUp
        if len(self.events) > _MAX_EVENTS:
            raise LinkError(
                f"The program has done more than {_MAX_EVENTS:,} things with its board.",
                hint="let its loops sleep, or give the trial less time.",
            )

    def note(self, kind: str, *data: Any) -> None:
        """Record an event at the present time."""
        self.events.append(Event(self.now_ns, kind, data))

    def _hand_over(self) -> None:
        """Let the program run the callbacks that are due."""
        while not self._in_callback:
            alarm = min(self._alarms, key=lambda a: a.due_ns, default=None)
            if alarm is None or alarm.due_ns > self.now_ns:
                return
            if self.now_ns >= self.limit_ns:  # callbacks that come faster than they run
                raise TimeUp
            if alarm.period_ns:
                alarm.due_ns += alarm.period_ns
            else:
                self._alarms.remove(alarm)
            self.note("call", alarm.source, alarm.number)
            self.now_ns += costs.CALL
            self._in_callback = True
            self.door.reply(f">{alarm.source} {alarm.number}".encode())
            while self._in_callback:
                if not self._step() or self._ended is not None:
                    return

    # -- pins ----------------------------------------------------------------

    def _set_pin(self, pin: bytes, level: bytes) -> None:
        number, value = pin_number(pin), int(level)
        if value not in (0, 1):
            raise ValueError(value)
        self._outputs[number] = value
        if number not in self.pwm.channels:  # else the pulse train keeps the pin
            self.note("pin", number, value)
            self.world.output(number, Signal(float(value), 0.0), self.now_ns)
        self.now_ns += costs.PIN

    def _set_mode(self, pin: bytes, mode: bytes, pull: bytes) -> None:
        number = pin_number(pin)
        if mode not in (b"in", b"out") or pull not in (b"", b"up", b"down"):
            raise ValueError(mode)
        self._pulls[number] = pull.decode()
        self.note("mode", number, mode.decode(), pull.decode())
        if mode == b"in":
            self._outputs.pop(number, None)
        if number in self.pwm.channels:
            self.pwm.stop(number)
            self.note("pwm", number, 0, 0)
            if self._outputs.get(number):
                self.note("pin", number, 1)
        level = self._outputs.get(number, 0)
        self.world.output(number, Signal(float(level), 0.0), self.now_ns)
        self.now_ns += costs.SETUP

    def _read_pin(self, pin: bytes) -> bytes:
        number = pin_number(pin)
        self.now_ns += costs.PIN
        if number in self._outputs:
            return b"%d" % self._outputs[number]
        level = self.world.level(number, self.now_ns)
        if level is None:
            level = 1 if self._pulls.get(number) == "up" else 0
        if self._seen.get(number) != level:  # a loop that waits for a pin reads it without end
            self._seen[number] = level
            self.note("read", number, level)
        return b"%d" % level

    # -- PWM -----------------------------------------------------------------

    def _pwm_start(self, pin: bytes, freq: bytes, scale: bytes, duty: bytes) -> None:
        number = pin_number(pin)
        self.pwm.start(number, None if freq == b"-" else int(freq))
        if duty != b"-":
            self.pwm.set_duty(number, scale.decode(), int(duty))
        self._pulse(number, self.now_ns)
        self.now_ns += costs.SETUP

    def _pulse(self, number: int, at_ns: int) -> None:
        channel = self.pwm.channels[number]
        output = channel.output_u16
        self.events.append(Event(self.now_ns, "pwm", (number, channel.freq_hz, output)))
        self.world.output(number, Signal(duty_share(output), float(channel.freq_hz)), at_ns)

    def _set_duty(self, scale: str, pin: bytes, value: bytes) -> None:
        number = int(pin)
        channel = self.pwm.set_duty(number, scale, int(value))
        self._pulse(number, channel.next_cycle(self.now_ns))
        self.now_ns += costs.DUTY

    def _pwm_read(self, pin: bytes, what: bytes) -> bytes:
        self.now_ns += costs.PIN
        channel = self.pwm.channels[int(pin)]
        values = {
            b"freq": channel.freq_hz, b"u16": channel.output_u16,
            b"10": channel.duty, b"ns": channel.duty_ns,
        }  # fmt: skip
        return b"%d" % values[what]

    def _pwm_stop(self, pin: bytes) -> None:
        number = pin_number(pin)
        self.pwm.stop(number)
        self.note("pwm", number, 0, 0)
        self.world.output(number, FLOATING, self.now_ns)
        self.now_ns += costs.SETUP

    # -- analogue ------------------------------------------------------------

    def _attenuate(self, pin: bytes, attenuation: bytes) -> None:
        value = int(attenuation)
        if not 0 <= value <= 3:
            raise ValueError(value)
        self._attenuations[pin_number(pin)] = value
        self.now_ns += costs.SETUP

    def _sample(self, number: int) -> int:
        self.now_ns += costs.ADC
        raw = counts(self.world.volts(number, self.now_ns), self._attenuations.get(number, 0))
        self.events.append(Event(self.now_ns, "adc", (number, raw)))
        return raw

    def _adc(self, pin: bytes, *after: bytes) -> bytes:
        """Sample a pin now, and ahead those that the program is likely to sample right after it."""
        counted = [self._sample(pin_number(pin))]
        time_ns = self.now_ns
        for word in after[:_MAX_AHEAD]:
            number = pin_number(word)
            time_ns += costs.ADC
            volts = self.world.glance(number, time_ns)
            if volts is None:
                break
            raw = counts(volts, self._attenuations.get(number, 0))
            self._ahead.append(Event(time_ns, "adc", (number, raw)))
            counted.append(raw)
        return b" ".join(b"%d" % raw for raw in counted)

    def _take_sample(self) -> None:
        """Let the next of the samples ahead have happened."""
        event = self._ahead.pop(0)
        self.now_ns = event.time_ns
        self.events.append(event)

    def _adc_uv(self, pin: bytes) -> bytes:
        number = pin_number(pin)
        return b"%d" % microvolts(self._sample(number), self._attenuations.get(number, 0))

    # -- lamps, I2C, console -------------------------------------------------

    def _frame(self, pin: bytes, timing: bytes, data: bytes) -> None:
        sent = bytes.fromhex(data.decode())
        number, speed = pin_number(pin), int(timing)
        if len(sent) > _MAX_FRAME or speed not in (0, 1):
            raise ValueError(len(sent))
        self.note("frame", number, speed, sent.hex())
        shown = self.world.frame(number, sent, speed, self.now_ns)
        self.now_ns += costs.frame(len(sent), speed)
        if shown is not None:
            self.note("lamps", shown)

    def _transfer(
        self, scl: bytes, sda: bytes, address: bytes, freq: bytes, written: bytes, count: bytes
    ) -> bytes:
        sent = b"" if written == b"-" else bytes.fromhex(written.decode())
        number, length = int(address), int(count)
        if not 0 <= length <= _MAX_FRAME or not 1 <= int(freq) <= 1_000_000:
            raise ValueError(length)
        self.now_ns += costs.transfer(len(sent), length, int(freq))
        got = self.world.transfer((int(scl), int(sda)), number, sent, length, self.now_ns)
        if got is None:
            self.note("nack", number)
            raise BoardFault("OSError", "[Errno 19] ENODEV")
        self.note("i2c", number, sent.hex(), got.hex())
        return got.hex().encode()

    def _print(self, *words: bytes) -> None:
        text = json.loads(b" ".join(words))
        if not isinstance(text, str):
            raise ValueError(text)
        self.note("print", text)
        # The console's newline goes out as two characters, as on the real board.
        sent = len(text.encode("utf-8", "replace")) + text.count("\n")
        self.now_ns += max(sent * costs.CHARACTER, costs.NOTICE)

    # -- time ----------------------------------------------------------------

    def _ticks(self) -> bytes:
        self.now_ns += costs.TICKS
        return b"%d" % ((self.now_ns - self.start_ns) // US)

    def _sleep(self, duration_us: bytes) -> None:
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.events.append(Event(self.now_ns, "sleep", (duration,)))
        self.now_ns += duration + costs.TICKS

    def _sleep_long(self, duration_us: bytes) -> None:
        """Sleep while callbacks may come: up to each in turn, then on."""
        duration = min(int(duration_us), _FOREVER_US) * US
        if duration < 0:
            raise ValueError(duration)
        self.note("sleep", duration)
        until = self.now_ns + duration + costs.TICKS
        while not self._in_callback and self._ended is None:
            due = min((a.due_ns for a in self._alarms), default=until)
            if due >= until:
                break
            self.now_ns = max(self.now_ns, due)
            if self.now_ns >= self.limit_ns:
                raise TimeUp
            self._hand_over()
        self.now_ns = max(self.now_ns, until)

    def _identify(self) -> bytes:
        """Give the board's six-byte number: a locally administered address with the serial."""
        self.now_ns += costs.TICKS
        return (0x02_51_00_00_00_00 + self.serial % (1 << 32)).to_bytes(6, "big").hex().encode()

    def _reset(self) -> None:
        raise Restart(self.now_ns, "machine.reset()")

    def _sync(self) -> None:
        """Only give the callbacks that are due their turn."""
        self.now_ns += costs.NOTICE

    def _timer(self, number: bytes, period_us: bytes, periodic: bytes) -> None:
        self._timer_stop(number)
        period = int(period_us) * US
        if period <= 0:
            raise ValueError(period)
        repeat = period if periodic == b"1" else 0
        self._alarms.append(_Alarm(self.now_ns + period, "timer", int(number), repeat))

    def _timer_stop(self, number: bytes) -> None:
        key = ("timer", int(number))
        if not 0 <= key[1] < _TIMERS:
            raise ValueError(key)
        self._alarms = [a for a in self._alarms if (a.source, a.number) != key]
        self.now_ns += costs.SETUP

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
        self.note("print", text)
        self.now_ns += len(text) * costs.CHARACTER
