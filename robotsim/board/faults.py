"""How the host's side of the board tells that something went wrong or ended."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

__all__ = ["Absorbed", "BoardFault", "Ended", "Restart", "TimeUp"]


class BoardFault(Exception):
    """An exception that the board raises in the program: its type's name and its message."""

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(f"{kind}: {message}")
        self.answer = f"-{kind} {message}".encode()


class Ended(Exception):
    """A program has said its last word.

    That is {"kind": "finished"}, or the exception that ended it: kind, message and calls (a list
    of [file, line, function]).
    """

    def __init__(self, word: Mapping[str, Any]) -> None:
        super().__init__(word["kind"])
        self.word = word


class Restart(Exception):
    """The board starts anew: when in ns, and why ("brown-out", "machine.reset()")."""

    def __init__(self, at_ns: int, cause: str) -> None:
        super().__init__(f"{cause} at {at_ns} ns")
        self.at_ns, self.cause = at_ns, cause


class TimeUp(Exception):
    """The trial's simulated time is over."""


class Absorbed(Exception):
    """A program computes, and has not touched its board for very long."""
