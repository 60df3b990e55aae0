"""Scope window: which pins the scope shows and when; what nobody chose fits what was recorded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..errors import KitError, UnknownNameError
from ..recording import Recording
from ..units import SECOND, ns
from ..wiring import Build
from .bus import CLOCK_HZ
from .waves import frames

__all__ = ["Window", "window_of"]


@dataclass(frozen=True)
class Window:
    """What the scope shows.

    Attributes:
        names: Roles of the pins, such as "lamps" or "left_ahead", or "pin 4".
        begin, end: From when to when, in ns.
        cursors: Two times to measure between, in ns; empty for none.
    """

    names: tuple[str, ...]
    begin: int
    end: int
    cursors: tuple[int, ...] = ()


def window_of(
    recording: Recording, pins: Sequence[str | int] = (), begin: float | None = None,
    seconds: float | None = None, cursors: Sequence[float] = (),
) -> Window:  # fmt: skip
    """Choose what to show: without pins those that were used, without a time one that fits them.

    Args:
        recording: Where to look.
        pins: Roles as in `robotsim.PINS`, or numbers.
        begin: From when, in s.
        seconds: How long, in s.
        cursors: Two times, in s.

    Raises:
        UnknownNameError: There is no such pin.
        KitError: The window or the cursors make no sense.
    """
    names = tuple(_name(recording.build, pin) for pin in pins) or _used(recording)
    if begin is None:
        first = min((_first(recording, name) for name in names), default=0)
    else:
        first = ns(begin)
    length = ns(seconds) if seconds is not None else _fitting(recording, names, first)
    lead = length // 20 if begin is None and seconds is None else 0
    start = max(0, first - lead)
    if length <= 0 or start >= ns(recording.seconds):
        raise KitError(
            f"There is nothing to see from {begin} s on, for {seconds} s.",
            hint=f"the recording lasts {recording.seconds:g} s.",
        )
    if len(cursors) not in (0, 2):
        raise KitError("There are two cursors or none.", hint="cursors=(0.1, 0.2), in s.")
    return Window(names, start, start + length, tuple(ns(cursor) for cursor in cursors))


def _name(build: Build, pin: str | int) -> str:
    if isinstance(pin, int):
        return build.name_of(pin)
    if pin not in build.pins:
        raise UnknownNameError("pin's role", pin, build.pins)
    return pin


def _used(recording: Recording) -> tuple[str, ...]:
    """Give the pins on which anything happened, in the order of first use, at most eight."""
    bus, others = ("i2c", "nack"), ("frame", "adc", "read")
    name_of = recording.build.name_of
    uses = [(told.told_ns, name_of(told.pin)) for told in recording.outputs() if told.ordered]
    uses += [(e.time_ns, name_of(e.data[0])) for e in recording.of(*others)]
    uses += [(e.time_ns, name) for e in recording.of(*bus) for name in ("scl", "sda")]
    found = dict.fromkeys(name for _, name in sorted(uses, key=lambda use: use[0]))
    if not found:
        raise KitError("The program used no pin.", hint="drive one: Pin(25, Pin.OUT).on().")
    return tuple(found)[:8]


def _first(recording: Recording, name: str) -> int:
    if name in ("scl", "sda"):
        event = next(recording.of("i2c", "nack"), None)
        size = 3 + sum(len(str(part)) // 2 for part in event.data[1:]) if event else 0
        return max(0, event.time_ns - size * 9 * SECOND // CLOCK_HZ) if event else 0
    pin = recording.build.number_of(name)
    uses = [e.time_ns for e in recording.of("frame", "adc", "read", pin=pin)]
    uses += [told.told_ns for told in recording.outputs(pin)
             if told.ordered and (told.duty_u16 or not told.pulsed)]  # fmt: skip
    return min(uses, default=0)


def _fitting(recording: Recording, names: Sequence[str], first: int) -> int:
    """Give the length of a window in ns in which these pins can be read well."""
    lengths = []
    for name in names:
        pin = recording.build.number_of(name)
        sent = next(frames(recording, pin, first, first + SECOND), None)
        freq = next((told.signal.freq_hz for told in recording.outputs(pin) if told.pulsed), 0)
        if sent:
            lengths.append(round(len(sent[1]) * 8 * 1250 * 1.25) + 20_000)
        elif freq:
            lengths.append(round(4.5 * SECOND / freq) if freq > 100 else round(2.2 * SECOND / freq))
        elif name in ("scl", "sda"):
            lengths.append(400_000)
    return min(lengths, default=max(ns(recording.seconds) - first, 1))
