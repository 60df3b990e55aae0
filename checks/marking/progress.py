"""Progress: one line that fills while a class is marked; single lines where no one watches."""

from __future__ import annotations

import sys
import time
from typing import TextIO

from ..shown import fitting, say

__all__ = ["Progress"]

_WIDTH = 30


class Progress:
    """A bar with a count, what is done, and the time that is left.

    Args:
        total: How many things are to be done.
        out: Where it goes; on a terminal one line is written over and over.
    """

    def __init__(self, total: int, out: TextIO | None = None) -> None:
        self.total, self.done = total, 0
        self._out = sys.stdout if out is None else out
        self._live = self._out.isatty()
        self._began = time.monotonic()
        self._told = 0

    def step(self, what: str) -> None:
        """Say that one more is done."""
        self.done += 1
        if self._live:
            self._out.write("\r" + fitting(self._line(what), self._out)[:100].ljust(100))
            self._out.flush()
        elif self.done == self.total or self.done * 10 // self.total > self._told:
            self._told = self.done * 10 // self.total
            say(self._line(what).rstrip(), file=self._out)

    def say(self, line: str) -> None:
        """Write a line of its own."""
        if self._live:
            self._out.write("\r" + " " * 100 + "\r")
        say(line, file=self._out)

    def end(self) -> None:
        """End the line."""
        if self._live and self.done:
            say(file=self._out)

    def _line(self, what: str) -> str:
        full = _WIDTH * self.done // max(self.total, 1)
        gone = time.monotonic() - self._began
        left = gone / self.done * (self.total - self.done) if self.done else 0.0
        bar = "#" * full + "-" * (_WIDTH - full)
        clock = f"{int(left) // 60}:{int(left) % 60:02d} left" if self.done < self.total else ""
        return f"[{bar}] {self.done}/{self.total}  {clock}  {what}"
