"""Callbacks: what is due when, from timers, pins and the radio."""

from __future__ import annotations

from dataclasses import dataclass

from ..units import US
from . import costs
from .pins import Pins
from .unit import Clock, Handlers, Unit
from .words import pin_number

__all__ = ["Alarm", "Callbacks"]

_TIMERS = 4
_RISING, _FALLING = 1, 2


@dataclass
class Alarm:
    """A callback that is due at a time; one with a period is due again and again."""

    due_ns: int
    source: str
    number: int
    period_ns: int = 0


@dataclass
class _Watch:
    """A pin whose changes call back: which of them, and the level last seen."""

    trigger: int
    level: int


class Callbacks(Unit):
    """The callbacks that a program has asked for.

    *Model*: a change of a watched pin is found at its own time, also within a sleep.  While
    its callback has not run yet, further changes of that pin ask for no second one, as the
    board keeps one interrupt a pin waiting (common practice, no source).
    """

    def __init__(self, board: Clock, pins: Pins) -> None:
        super().__init__(board)
        self._pins = pins
        self._alarms: list[Alarm] = []
        self._watches: dict[int, _Watch] = {}

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        return {b"J": self._timer, b"j": self._timer_stop, b"i": self._watch}

    def __bool__(self) -> bool:
        """Tell whether any callback may ever come."""
        return bool(self._alarms or self._watches)

    def add(self, alarm: Alarm) -> None:
        """Ask for a callback."""
        self._alarms.append(alarm)

    def due(self, until_ns: int) -> int | None:
        """Give when the first callback up to a time is due; the world comes along as far."""
        first = min((a.due_ns for a in self._alarms), default=until_ns + 1)
        if self._watches:
            first = self._look(min(first, until_ns), first)
        return first if first <= until_ns else None

    def _look(self, until_ns: int, otherwise: int) -> int:
        """Follow the watched pins up to a time: when one of them calls, or the other time."""
        pins = tuple(self._watches)
        while (changed := self.world.edge(pins, until_ns)) is not None:
            called = False
            for number, watch in self._watches.items():
                level = self._pins.level(number, changed)
                if level == watch.level:
                    continue
                watch.level = level
                if watch.trigger & (_RISING if level else _FALLING):
                    called = self._call(number, changed) or called
            if called:
                return min(changed, otherwise)
        return otherwise

    def _call(self, number: int, at_ns: int) -> bool:
        if any(a.source == "pin" and a.number == number for a in self._alarms):
            return False
        self.add(Alarm(at_ns, "pin", number))
        return True

    def take(self, now_ns: int) -> Alarm | None:
        """Give the callback whose turn it is, if one is due by now."""
        if self._watches:
            self.due(now_ns)
        alarm = min(self._alarms, key=lambda a: a.due_ns, default=None)
        if alarm is None or alarm.due_ns > now_ns:
            return None
        if alarm.period_ns:
            alarm.due_ns += alarm.period_ns
        else:
            self._alarms.remove(alarm)
        return alarm

    def drop(self, source: str, number: int) -> None:
        """Ask for a callback no longer."""
        self._alarms = [a for a in self._alarms if (a.source, a.number) != (source, number)]

    # -- messages ------------------------------------------------------------

    def _timer(self, number: bytes, period_us: bytes, periodic: bytes) -> None:
        self._timer_stop(number)
        period = int(period_us) * US
        if period <= 0:
            raise ValueError(period)
        repeat = period if periodic == b"1" else 0
        self.add(Alarm(self.board.now_ns + period, "timer", int(number), repeat))

    def _timer_stop(self, number: bytes) -> None:
        if not 0 <= int(number) < _TIMERS:
            raise ValueError(number)
        self.drop("timer", int(number))
        self.board.now_ns += costs.SETUP

    def _watch(self, pin: bytes, trigger: bytes) -> None:
        number, edges = pin_number(pin), int(trigger)
        if not 0 <= edges <= 3:
            raise ValueError(edges)
        self.drop("pin", number)
        self._watches.pop(number, None)
        if edges:
            level = self._pins.level(number, self.board.now_ns)
            self._watches[number] = _Watch(edges, level)
        self.board.now_ns += costs.SETUP
