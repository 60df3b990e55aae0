"""A tug's world without a board: outputs at given times, and what they come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import pytest

from robotsim import living
from robotsim.parts import Day, Quirks, drive, wheels
from robotsim.table import make_table
from robotsim.units import SECOND
from robotsim.wiring import FLOATING, PINS, Signal
from robotsim.world import TugWorld

__all__ = ["HIGH", "Order", "braked", "coast", "fast", "finer", "live", "slow"]

HIGH = Signal(1.0, 0.0)
Order = tuple[float, str, Signal]
"""When in s, on which pin, and what."""
_MOTORS = ("left_ahead", "left_back", "right_ahead", "right_back")


def _on(at: float, signals: Iterable[Signal]) -> list[Order]:
    return [(at, role, signal) for role, signal in zip(_MOTORS, signals, strict=True)]


def slow(at: float, left: float, right: float, freq: float = 1000.0) -> list[Order]:
    """Drive ahead in slow decay: one input high, inverted pulses on the other."""
    return _on(at, (HIGH, Signal(1.0 - left, freq), HIGH, Signal(1.0 - right, freq)))


def fast(at: float, left: float, right: float, freq: float = 1000.0) -> list[Order]:
    """Drive ahead in fast decay: pulses on one input, the other low."""
    return _on(at, (Signal(left, freq), FLOATING, Signal(right, freq), FLOATING))


def coast(at: float) -> list[Order]:
    """Let go of the motors."""
    return _on(at, (FLOATING,) * 4)


def braked(at: float) -> list[Order]:
    """Short both motors."""
    return _on(at, (HIGH,) * 4)


def live(
    orders: Iterable[Order], *, table: str = "basin", serial: int = 0,
    start: tuple[float, float, float] | None = None, day: str = "seed 0",
) -> TugWorld:  # fmt: skip
    """Give a world to which outputs are to come; `advance_to` brings it on."""
    today = Day.of(day, serial)
    tug = TugWorld(make_table(table, 0), Quirks.of(serial), 0, start, day=today)
    for at, role, signal in orders:
        tug.output(PINS[role], signal, round(at * SECOND))
    return tug


@contextmanager
def finer(times: int) -> Iterator[None]:
    """Make every step of the world so many times shorter."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("STEP_NS", "TOUCH_NS"):
            patch.setattr(living, name, getattr(living, name) // times)
        patch.setattr(drive, "SHORT_STEP", drive.SHORT_STEP / times)
        patch.setattr(wheels, "SLIDE_STEP", wheels.SLIDE_STEP / times)
        yield
