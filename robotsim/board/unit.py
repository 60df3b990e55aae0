"""Unit: one part of the board, and what it may ask of the whole."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any, Protocol, TypeVar

from ..recording import Event
from .ports import World

__all__ = ["MAX_BYTES", "Clock", "Handlers", "Unit", "Waiting"]

_T = TypeVar("_T")
Waiting = Generator[bytes, None, _T]
"""What lets time pass: it yields each callback that the program is to run, and goes on when that
has ended; what it returns is what was waited for."""
Handlers = dict[bytes, Callable[..., "bytes | Waiting[bytes | None] | None"]]
"""First letter of a message to what carries it out; it is given the message's words."""
MAX_BYTES = 30_000
"""Most bytes that one message may send or ask for."""


class Clock(Protocol):
    """What a unit sees of its board: the time, which it moves on, and the recording."""

    now_ns: int
    limit_ns: int
    start_ns: int
    serial: int
    world: World
    events: list[Event]

    def note(self, kind: str, *data: Any) -> None:
        """Record an event at the present time."""
        ...

    def pass_until(self, until: int) -> Waiting[None]:
        """Let time pass, and callbacks have their turn."""
        ...


class Unit:
    """One part of the board: it carries out the messages that it names in `handlers`."""

    def __init__(self, board: Clock) -> None:
        self.board = board
        self.world = board.world

    def handlers(self) -> Handlers:
        """Give the messages that this unit carries out."""
        raise NotImplementedError
