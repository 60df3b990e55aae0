"""Problem: what went wrong in a program, told for its writer."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["STOPPED", "Problem"]

STOPPED = "stopped"
"""The kind of a problem for which a program was ended from outside: it raised nothing."""


@dataclass(frozen=True)
class Problem:
    """What went wrong in a program, told for its writer.

    Attributes:
        kind: The exception's type name ("ValueError"), or `STOPPED`.
        message: What the board says.
        file: The learner's file, or "" when no place is known.
        line: Line number in that file, counted from 1; 0 when not known.
        source: The text of that line.
        calls: The way there, outermost first: (file, line, function).
        hint: What to try.
    """

    kind: str
    message: str
    file: str = ""
    line: int = 0
    source: str = ""
    calls: tuple[tuple[str, int, str], ...] = ()
    hint: str = ""

    @property
    def place(self) -> str:
        """The place in words: `drive.py, line 3: led.on()`."""
        if not self.file:
            return ""
        return f"{self.file}, line {self.line}" + (f": {self.source}" if self.source else "")

    @property
    def called_from(self) -> tuple[tuple[str, int], ...]:
        """The lines that called for that one, (file, line), the nearest first; none for its own."""
        ways = ((file, line) for file, line, _ in reversed(self.calls))
        return tuple(way for way in ways if way != (self.file, self.line))

    def __str__(self) -> str:
        """Give the problem as a few lines of text."""
        rows = [f"{self.kind}: {self.message}" if self.message else self.kind]
        if self.file:
            rows.append(f"Where: {self.place}")
        if self.hint:
            rows.append(f"Try: {self.hint}")
        return "\n".join(rows)
