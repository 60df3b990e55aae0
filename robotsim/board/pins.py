"""Pins: levels, modes and pulse trains, as messages ask for them."""

from __future__ import annotations

from functools import partial

from ..recording import Event
from ..wiring import FLOATING, Signal, duty_share
from . import costs
from .pwm import PwmUnit
from .unit import Clock, Handlers, Unit
from .words import pin_number

__all__ = ["Pins"]


class Pins(Unit):
    """The digital pins and their pulse trains."""

    def __init__(self, board: Clock) -> None:
        super().__init__(board)
        self.pwm = PwmUnit()
        self._outputs: dict[int, int] = {}
        self._pulls: dict[int, str] = {}
        self._seen: dict[int, int] = {}

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {
            b"o": self._set_pin, b"m": self._set_mode, b"p": self._pwm_stop, b"I": self._read_pin,
            b"d": partial(self._set_duty, "u16"), b"e": partial(self._set_duty, "10"),
            b"g": partial(self._set_duty, "ns"), b"P": self._pwm_start, b"Q": self._pwm_read,
            b"W": self._pulse_in,
        }  # fmt: skip

    def level(self, number: int, at_ns: int) -> int:
        """Give the level on a pin: what the program puts out, a part, or the pull."""
        if number in self._outputs:
            return self._outputs[number]
        level = self.world.level(number, at_ns)
        if level is None:
            level = 1 if self._pulls.get(number) == "up" else 0
        return level

    def _set_pin(self, pin: bytes, level: bytes) -> None:
        number, value = pin_number(pin), int(level)
        if value not in (0, 1):
            raise ValueError(value)
        self._outputs[number] = value
        if number not in self.pwm.channels:  # else the pulse train keeps the pin
            self.board.note("pin", number, value)
            self.world.output(number, Signal(float(value), 0.0), self.board.now_ns)
        self.board.now_ns += costs.PIN

    def _set_mode(self, pin: bytes, mode: bytes, pull: bytes) -> None:
        number = pin_number(pin)
        if mode not in (b"in", b"out") or pull not in (b"", b"up", b"down"):
            raise ValueError(mode)
        self._pulls[number] = pull.decode()
        self.board.note("mode", number, mode.decode(), pull.decode())
        if mode == b"in":
            self._outputs.pop(number, None)
        if number in self.pwm.channels:
            self.pwm.stop(number)
            self.board.note("pwm", number, 0, 0)
            if self._outputs.get(number):
                self.board.note("pin", number, 1)
        level = self._outputs.get(number, 0)
        self.world.output(number, Signal(float(level), 0.0), self.board.now_ns)
        self.board.now_ns += costs.SETUP

    def _read_pin(self, pin: bytes) -> bytes:
        number = pin_number(pin)
        self.board.now_ns += costs.PIN
        if number in self._outputs:
            return b"%d" % self._outputs[number]
        level = self.level(number, self.board.now_ns)
        if self._seen.get(number) != level:  # a loop that waits for a pin reads it without end
            self._seen[number] = level
            self.board.note("read", number, level)
        return b"%d" % level

    def _pulse_in(self, pin: bytes, level: bytes, timeout_us: bytes) -> bytes:
        """Measure a pulse: wait for the level, then until it ends.

        *Source*: MicroPython documentation of `machine.time_pulse_us` (stub's text, read): -2
        if the level did not come in time, -1 if it did not end in time.
        """
        number, wanted, timeout = pin_number(pin), int(level), int(timeout_us) * 1000
        if wanted not in (0, 1) or not 0 <= timeout <= 10**15:
            raise ValueError(timeout)
        board = self.board
        board.now_ns += costs.PIN
        if not self._wait(number, wanted, timeout):
            return b"-2"
        began = board.now_ns
        if not self._wait(number, 1 - wanted, timeout):
            return b"-1"
        return b"%d" % ((board.now_ns - began) // 1000)

    def _wait(self, number: int, wanted: int, timeout_ns: int) -> bool:
        """Let time pass until a pin has a level; tell whether it came."""
        board = self.board
        until = min(board.now_ns + timeout_ns, board.limit_ns)
        while self.level(number, board.now_ns) != wanted:
            changed = None
            if number not in self._outputs:
                changed = self.world.edge((number,), board.now_ns, until)
            if changed is None:
                board.now_ns = until
                return False
            board.now_ns = max(board.now_ns, changed)
        return True

    # -- pulse trains --------------------------------------------------------

    def _pwm_start(self, pin: bytes, freq: bytes, scale: bytes, duty: bytes) -> None:
        number = pin_number(pin)
        running = self.pwm.channels.get(number)
        before_hz = running.freq_hz if running else 0
        channel = self.pwm.start(number, None if freq == b"-" else int(freq))
        if duty != b"-":
            self.pwm.set_duty(number, scale.decode(), int(duty))
        now_ns = self.board.now_ns
        goes_on = channel.freq_hz == before_hz
        self._pulse(number, channel.next_cycle(now_ns) if goes_on else now_ns)
        self.board.now_ns += costs.SETUP

    def _pulse(self, number: int, at_ns: int) -> None:
        channel = self.pwm.channels[number]
        output = channel.output_u16
        event = Event(self.board.now_ns, "pwm", (number, channel.freq_hz, output))
        self.board.events.append(event)
        self.world.output(number, Signal(duty_share(output), float(channel.freq_hz)), at_ns)

    def _set_duty(self, scale: str, pin: bytes, value: bytes) -> None:
        number = pin_number(pin)
        channel = self.pwm.set_duty(number, scale, int(value))
        self._pulse(number, channel.next_cycle(self.board.now_ns))
        self.board.now_ns += costs.DUTY

    def _pwm_read(self, pin: bytes, what: bytes) -> bytes:
        self.board.now_ns += costs.PIN
        channel = self.pwm.channels[int(pin)]
        values = {
            b"freq": channel.freq_hz, b"u16": channel.output_u16,
            b"10": channel.duty, b"ns": channel.duty_ns,
        }  # fmt: skip
        return b"%d" % values[what]

    def _pwm_stop(self, pin: bytes) -> None:
        number = pin_number(pin)
        self.pwm.stop(number)
        self.board.note("pwm", number, 0, 0)
        self.world.output(number, FLOATING, self.board.now_ns)
        self.board.now_ns += costs.SETUP
