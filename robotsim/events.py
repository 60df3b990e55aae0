"""Events: what happened in a trial, each with its simulated time, and a log that keeps many."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple, overload

from .units import SECOND

__all__ = ["EVENT_KINDS", "Event", "Log"]

EVENT_KINDS: dict[str, tuple[str, ...]] = {
    "print": ("text",),
    "mode": ("pin", "mode", "pull"),
    "pin": ("pin", "level"),
    "pwm": ("pin", "freq_hz", "duty_u16"),
    "frame": ("pin", "timing", "hex"),
    "lamps": ("colours",),
    "adc": ("pin", "raw"),
    "read": ("pin", "level"),
    "i2c": ("address", "written_hex", "read_hex"),
    "nack": ("address",),
    "sleep": ("duration_ns",),
    "call": ("source", "number"),
    "fault": ("error", "message", "file", "line"),
    "touch": ("what", "impulse"),
    "dock": ("what",),
    "reset": ("cause",),
    "radio": ("what", "detail"),
    "message": ("stage", "topic", "hex", "size", "qos", "retain", "duplicate"),
    "file": ("what", "name", "size"),
    "end": ("how",),
}
"""The kinds of event, with the names of their data in order.

`print` text on the console · `mode` a pin set up ("in", "out"; pull "", "up", "down") ·
`pin` an output set to 0 or 1 · `pwm` an output given a pulse train (freq_hz 0: taken off) ·
`frame` bytes sent to a chain of lamps · `lamps` what the lamps then show, a tuple of
(red, green, blue), 0 to 255 each · `adc`, `i2c` what the program read ·
`read` a pin read at another level than the time before ·
`nack` an I2C address that nobody answered · `sleep` a wait ·
`call` a callback handed to the program (source "timer", "pin", "radio") ·
`fault` an exception in a callback, after which the program goes on ·
`touch` the hull, the arm or the float touched something (impulse in N s) ·
`dock` the float crossed the dock's line ("in", "out") · `reset` the board started anew ·
`radio` what the network and the broker did ·
`message` a message at a stage of its way: "order" the office sends it, "arrived" at the board,
"taken" by the program, "said" by the program, "told" the office has it (the first 2048 bytes) ·
`file` the program changed its board's flash ("written", "removed", "renamed", "made") ·
`end` the program ended.
"""


class Event(NamedTuple):
    """One thing that happened: when (ns of simulated time), its kind, its data."""

    time_ns: int
    kind: str
    data: tuple[Any, ...]

    @property
    def seconds(self) -> float:
        """When it happened, in seconds of simulated time."""
        return self.time_ns / SECOND

    def __getattr__(self, name: str) -> Any:
        """Give a datum by the name that `EVENT_KINDS` lists for this kind."""
        names = EVENT_KINDS.get(self.kind, ())
        if name in names:
            return self.data[names.index(name)]
        raise AttributeError(f"a {self.kind!r} event has no {name!r}; it has {names}")


class Log(Sequence[Event]):
    """Events in little room: times as plain numbers, and data of equal whole numbers once.

    An event is made anew whenever it is looked at.

    Args:
        events: In order of time.
    """

    __slots__ = ("_data", "_kinds", "_times")

    def __init__(self, events: Iterable[Event]) -> None:
        once: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        self._times, self._kinds, self._data = array("q"), [], []
        for time_ns, kind, data in events:
            self._times.append(time_ns)
            self._kinds.append(sys.intern(kind))
            # Only those: 1.0 is equal to 1 and True, and is not the same.
            whole = all(type(item) is int for item in data)
            self._data.append(once.setdefault(data, data) if whole else data)

    def __len__(self) -> int:
        """Tell how many there are."""
        return len(self._times)

    def __iter__(self) -> Iterator[Event]:
        """Go through them in order of time."""
        return map(Event, self._times, self._kinds, self._data)

    @overload
    def __getitem__(self, place: int) -> Event: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[Event, ...]: ...

    def __getitem__(self, place: int | slice) -> Event | tuple[Event, ...]:
        """Give one of them, or some."""
        if isinstance(place, slice):
            return tuple(map(Event, self._times[place], self._kinds[place], self._data[place]))
        return Event(self._times[place], self._kinds[place], self._data[place])

    def __eq__(self, other: object) -> bool:
        """Tell whether others are the same events."""
        return isinstance(other, (Log, tuple)) and tuple(self) == tuple(other)

    __hash__ = None  # type: ignore[assignment]
