"""How the host's side of the board tells that something went wrong or ended."""

from __future__ import annotations

__all__ = ["BoardFault", "TimeUp"]


class BoardFault(Exception):
    """An exception that the board raises in the program: its type's name and its message."""

    def __init__(self, kind: str, message: str) -> None:
        super().__init__(f"{kind}: {message}")
        self.kind, self.message = kind, message


class TimeUp(Exception):
    """The trial's simulated time is over."""
