"""Lines: what a running program sends over the cable, cut into lines with their times."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

__all__ = ["Lines"]


class Lines:
    """Cuts what a running program sends into lines and, after its end, its exception.

    Args:
        line: Told of each line: s since the start, and the text.
        began: When it was started, by the monotonic clock.

    Attributes:
        fault: The exception that has ended it, in the board's words.
    """

    def __init__(self, line: Callable[[float, str], None], began: float) -> None:
        self._line, self._began = line, began
        self._rest = b""
        self._ends = 0
        self.fault = b""

    def take(self, data: bytes) -> bool:
        """Take what has come; True once all of it is there: 04, the exception, 04, and >."""
        for piece in _pieces(data):
            if piece == b"\x04":
                self._ends += 1
                if self._ends == 1 and self._rest:
                    self._tell(self._rest)
            elif self._ends == 0:
                *whole, self._rest = (self._rest + piece).split(b"\n")
                for row in whole:
                    self._tell(row)
            elif self._ends == 1:
                self.fault += piece
        return self._ends >= 2

    def _tell(self, row: bytes) -> None:
        text = row.rstrip(b"\r").decode("utf-8", "replace")
        self._line(time.monotonic() - self._began, text)


def _pieces(data: bytes) -> Iterator[bytes]:
    for k, piece in enumerate(data.split(b"\x04")):
        if k:
            yield b"\x04"
        if piece:
            yield piece
