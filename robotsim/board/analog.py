"""Analog: samples of the analogue pins, also those taken ahead."""

from __future__ import annotations

from ..converter import Converter
from ..recording import Event
from . import costs
from .unit import Clock, Handlers, Unit
from .words import computed, pin_number

__all__ = ["Analog"]

_MAX_AHEAD = 7


class Analog(Unit):
    """The converter and its pins.

    Attributes:
        ahead: Samples that the program has been told already, and that have not happened yet.
    """

    def __init__(self, board: Clock, converter: Converter) -> None:
        super().__init__(board)
        self._converter = converter
        self.ahead: list[Event] = []
        self._attenuations: dict[int, int] = {}

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {
            b"a": self._attenuate, b"A": self._adc, b"U": self._adc_uv, b"b": self._take_sample,
        }  # fmt: skip

    def _attenuate(self, pin: bytes, attenuation: bytes) -> None:
        value = int(attenuation)
        if not 0 <= value <= 3:
            raise ValueError(value)
        self._attenuations[pin_number(pin)] = value
        self.board.now_ns += costs.SETUP

    def _sample(self, number: int) -> int:
        board = self.board
        board.now_ns += costs.ADC
        raw = self._count(number, self.world.volts(number, board.now_ns), board.now_ns)
        board.events.append(Event(board.now_ns, "adc", (number, raw)))
        return raw

    def _count(self, number: int, volts: float, time_ns: int) -> int:
        attenuation = self._attenuations.get(number, 0)
        return self._converter.count(volts, attenuation, number, time_ns)

    def _adc(self, pin: bytes, *after: bytes) -> bytes:
        """Sample a pin now, and ahead those that the program is likely to sample right after it."""
        counted = [self._sample(pin_number(pin))]
        time_ns = self.board.now_ns
        for word in after[:_MAX_AHEAD]:
            pin, _, spent_us = word.partition(b"+")
            number = pin_number(pin)
            time_ns += costs.ADC + computed(spent_us)
            volts = self.world.glance(number, time_ns)
            if volts is None:
                break
            raw = self._count(number, volts, time_ns)
            self.ahead.append(Event(time_ns, "adc", (number, raw)))
            counted.append(raw)
        return b" ".join(b"%d" % raw for raw in counted)

    def _take_sample(self) -> None:
        """Let the next of the samples ahead have happened."""
        event = self.ahead.pop(0)
        self.board.now_ns = event.time_ns
        self.board.events.append(event)

    def _adc_uv(self, pin: bytes) -> bytes:
        number = pin_number(pin)
        attenuation = self._attenuations.get(number, 0)
        return b"%d" % self._converter.microvolts(self._sample(number), attenuation)
