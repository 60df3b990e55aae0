"""How the host's side of the board tells that something went wrong or ended."""

from __future__ import annotations

__all__ = ["Absorbed", "BoardFault", "Restart", "TimeUp"]


class BoardFault(Exception):
    """An exception that the board raises in the program: its type's name and its message."""

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(f"{kind}: {message}")
        self.kind, self.message = kind, message


class Restart(Exception):
    """The board starts anew: when in ns, and why ("brown-out", "machine.reset()")."""

    def __init__(self, at_ns: int, cause: str) -> None:
        super().__init__(f"{cause} at {at_ns} ns")
        self.at_ns, self.cause = at_ns, cause


class TimeUp(Exception):
    """The trial's simulated time is over."""


class Absorbed(Exception):
    """A program computes, and has not touched its board for very long."""
