"""Ports: what the board is plugged into, a world on one side and a program on the other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from ..wiring import Signal

__all__ = ["Hear", "World"]

Hear = Callable[[bytes], bytes]
"""The board as its program meets it: a message in, and what goes back out, b"" for nothing."""


class World(Protocol):
    """What the board's pins are connected to; every call tells the time in ns."""

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        """Put a signal on an output pin from a time on, which may lie ahead."""

    def volts(self, pin: int, time_ns: int) -> float:
        """Give the voltage on a pin in V."""

    def glance(self, pin: int, time_ns: int) -> float | None:
        """Give the voltage on a pin just ahead of now, if that moves nothing; else None."""

    def level(self, pin: int, time_ns: int) -> int | None:
        """Give the level that something outside puts on a pin, None for nothing."""

    def edge(self, pins: tuple[int, ...], since_ns: int, until_ns: int) -> int | None:
        """Give when the level on one of some pins next changes after a time.

        None if it does not by the second time given.
        """

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        """Send bytes to a chain of lamps; give what they show then, or None if there are none."""

    def transfer(
        self, bus: tuple[int, int], address: int, written: bytes, count: int, time_ns: int
    ) -> bytes | None:
        """Write to and read from an I2C device on (SCL, SDA); None if no device answers."""
