"""Outputs: what each pin put out and from when on, read from a recording's events.

This is the one place where the events of pins become signals.  It knows what the board knows: a
restart lets every pin go, the end of a program none, and a new duty comes out with the next pulse.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from .units import SECOND
from .wiring import FLOATING, FULL_DUTY, Signal, duty_share

__all__ = ["OUTPUT_KINDS", "Output", "coming_out", "next_cycle", "read_outputs"]

OUTPUT_KINDS = ("pin", "pwm", "mode", "reset")
"""The kinds of event that may change what a pin puts out."""


class Output(NamedTuple):
    """One change of what a pin puts out.

    Attributes:
        told_ns: When the board was told, in ns.
        since_ns: When it comes out.
        pin: The pin's number.
        signal: What it puts out from then on.
        duty_u16: The same as the board's number, 0 to 65535.
        ordered: Whether the program asked for this level or these pulses; what a pin's mode or a
            restart leaves is not ordered.
    """

    told_ns: int
    since_ns: int
    pin: int
    signal: Signal
    duty_u16: int
    ordered: bool

    @property
    def seconds(self) -> float:
        """When the board was told, in s."""
        return self.told_ns / SECOND

    @property
    def pulsed(self) -> bool:
        """Whether it is a pulse train, if only one of no or of endless pulses."""
        return bool(self.signal.freq_hz)


def next_cycle(time_ns: int, freq_hz: float) -> int:
    """Give when the first pulse at or after a time begins, in ns.

    A new duty comes out only then, so that no pulse is cut (common practice, no source).  All
    timers count from power-up.
    """
    freq = round(freq_hz)
    cycles = -(-time_ns * freq // SECOND)
    return -(-cycles * SECOND // freq)


def read_outputs(events: Iterable[tuple[int, str, tuple[Any, ...]]]) -> tuple[Output, ...]:
    """Give all changes of all pins, in the order in which the board was told.

    Args:
        events: Those of the kinds `OUTPUT_KINDS`, in order of time; others are passed over.
    """
    found: list[Output] = []
    last: dict[int, Output] = {}
    for at, kind, data in events:
        if kind == "reset":
            last = {pin: _let_go(at, pin) for pin in last}
            found += last.values()
        elif kind in OUTPUT_KINDS:
            pin = data[0]
            last[pin] = _change(at, kind, data, last.get(pin) or _let_go(0, pin))
            found.append(last[pin])
    return tuple(found)


def _let_go(at: int, pin: int) -> Output:
    return Output(at, at, pin, FLOATING, 0, False)


def _change(at: int, kind: str, data: tuple[Any, ...], before: Output) -> Output:
    pin = data[0]
    if kind == "mode":  # an input puts nothing out; an output goes on with what it had
        if data[1] == "in":
            return _let_go(at, pin)
        return Output(at, max(at, before.since_ns), pin, before.signal, before.duty_u16, False)
    if kind == "pin":
        return Output(at, at, pin, Signal(float(data[1]), 0.0), FULL_DUTY * data[1], True)
    freq, number = float(data[1]), data[2]
    since = next_cycle(at, freq) if freq and freq == before.signal.freq_hz else at
    return Output(at, since, pin, Signal(duty_share(number), freq), number, True)


def coming_out(changes: Iterable[Output]) -> tuple[Output, ...]:
    """Leave out the changes of one pin that were overtaken before they came out."""
    kept: list[Output] = []
    for change in changes:
        while kept and kept[-1].since_ns >= change.since_ns:
            kept.pop()
        kept.append(change)
    return tuple(kept)
