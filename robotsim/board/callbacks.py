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
_QUEUE = 8
_WATCHED_NS = 500 * US
"""How often a program that computes lets the board look at watched pins."""


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

    *Model*: a change of a watched pin is found at its own time, also within a sleep.  Calls
    wait in a queue of eight; a change that finds it full is lost.
    *Source*: MicroPython's source for this family of boards (read): each change puts a call
    into the scheduler's queue, whose depth is 8.
    """

    def __init__(self, board: Clock, pins: Pins) -> None:
        super().__init__(board)
        self._pins = pins
        self._alarms: list[Alarm] = []
        self._watches: dict[int, _Watch] = {}
        self._followed_ns = 0

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
        if self._watches and self._follow(min(first, until_ns), one=True):
            first = min(a.due_ns for a in self._alarms)
        return first if first <= until_ns else None

    def quiet(self, most_ns: int) -> int:
        """Give for how long from now no callback is due, in ns; a watched pin may change soon."""
        if self._watches:
            return min(_WATCHED_NS, most_ns)
        first = min((a.due_ns for a in self._alarms), default=self.board.now_ns + most_ns)
        return max(0, min(first - self.board.now_ns, most_ns))

    def _follow(self, until_ns: int, one: bool = False) -> bool:
        """Follow the watched pins up to a time, or to the first call; tell whether one calls."""
        pins, called = tuple(self._watches), False
        while not (called and one):
            changed = self.world.edge(pins, self._followed_ns, until_ns)
            self._followed_ns = max(self._followed_ns, until_ns) if changed is None else changed
            if changed is None:
                break
            for number, watch in self._watches.items():
                level = self._pins.level(number, changed)
                if level == watch.level:
                    continue
                watch.level = level
                waiting = sum(a.source == "pin" for a in self._alarms)
                if watch.trigger & (_RISING if level else _FALLING) and waiting < _QUEUE:
                    self.add(Alarm(changed, "pin", number))
                    called = True
        return called

    def take(self, now_ns: int) -> Alarm | None:
        """Give the callback whose turn it is, if one is due by now."""
        if self._watches:
            self._follow(now_ns)
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
            self._followed_ns = self.board.now_ns
            level = self._pins.level(number, self.board.now_ns)
            self._watches[number] = _Watch(edges, level)
        self.board.now_ns += costs.SETUP
