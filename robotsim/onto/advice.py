"""Advice: what `ready` has to say of a program, a line, a cause and a cure at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html import escape

from ..recording import Recording

__all__ = ["Advice", "Report", "source_line", "told_html"]


@dataclass(frozen=True, order=True)
class Advice:
    """One thing that a board would stumble over.

    Attributes:
        file: The learner's file.
        line: Line in that file, counted from 1; 0 for the file as a whole.
        cause: What would happen on a board, and why.
        cure: What to write instead.
        fails: Whether the program would fail or do harm there; otherwise it is only advised.
        source: The text of the line.
    """

    file: str
    line: int
    cause: str
    cure: str
    fails: bool = True
    source: str = ""

    @property
    def place(self) -> str:
        """The place in words: `main.py, line 3: led.on()`."""
        if not self.line:
            return self.file
        return f"{self.file}, line {self.line}" + (f": {self.source}" if self.source else "")

    def __str__(self) -> str:
        """Give it as three lines of text."""
        word = "Would fail" if self.fails else "Mind"
        return f"{word}: {self.cause}\nWhere: {self.place}\nTry: {self.cure}"


@dataclass(frozen=True)
class Report:
    """What `ready` found.

    Attributes:
        program: The file that starts.
        files: The files that were looked at, in the order in which they are imported.
        advice: What was found, by file and line.
        notes: What could not be looked at here, and how that can be had.
        recording: The run that some of it rests on; None where the program could not be run.
    """

    program: str
    files: tuple[str, ...]
    advice: tuple[Advice, ...]
    notes: tuple[str, ...] = ()
    recording: Recording | None = field(default=None, compare=False)

    @property
    def ready(self) -> bool:
        """Whether nothing was found that would fail on a board."""
        return not self.failing

    @property
    def failing(self) -> tuple[Advice, ...]:
        """What would fail."""
        return tuple(one for one in self.advice if one.fails)

    def __iter__(self) -> Iterator[Advice]:
        """Go through what was found."""
        return iter(self.advice)

    def __len__(self) -> int:
        """Give how many things were found."""
        return len(self.advice)

    @property
    def verdict(self) -> str:
        """The outcome in a sentence."""
        fails, minds = len(self.failing), len(self.advice) - len(self.failing)
        told = [f"{n} thing{'' if n == 1 else 's'} {what}"
                for n, what in ((fails, "would fail"), (minds, "to mind")) if n]  # fmt: skip
        if not told:
            return f"{self.program} is ready for the board: nothing was found."
        state = "not ready" if fails else "ready"
        return f"{self.program} is {state} for the board: {', '.join(told)}."

    def __str__(self) -> str:
        """Give the report as text."""
        return "\n\n".join([self.verdict, *map(str, self.advice), *self.notes])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        """Give the report for a notebook; its look does not rest on colour."""
        head = f"<p style='margin:0 0 6px'><strong>{escape(self.verdict)}</strong></p>"
        rows = "".join(_row(one) for one in self.advice)
        head_row = f"<thead><tr>{_HEADS}</tr></thead>"
        table = f"<table style='{_TABLE}'>{head_row}<tbody>{rows}</tbody></table>"
        notes = "".join(f"<p style='margin:6px 0 0'>{escape(note)}</p>" for note in self.notes)
        box = f"<div role='group' aria-label='Ready for the board?' style='{_BOX}'>"
        return box + head + (table if rows else "") + notes + "</div>"


def told_html(text: str) -> str:
    """Give lines for a notebook, which wrap between words: JupyterLab's own break a word."""
    style = "white-space:pre-wrap;word-break:normal;overflow-wrap:anywhere"
    return f"<pre style='{style}'>{escape(text)}</pre>"


def source_line(text: str, line: int) -> str:
    """Give one line of a program without its indent; "" where there is none."""
    rows = text.split("\n")
    return rows[line - 1].strip() if 0 < line <= len(rows) else ""


def _row(one: Advice) -> str:
    mark = "✗ would fail" if one.fails else "◐ mind"
    place = f"{one.file}, line {one.line}" if one.line else one.file
    code = f"<br><code>{escape(one.source)}</code>" if one.source else ""
    cells: Sequence[str] = (mark, escape(place) + code, escape(one.cause), escape(one.cure))
    return "<tr>" + "".join(f"<td style='{_CELL}'>{cell}</td>" for cell in cells) + "</tr>"


_BOX = (
    "border:1px solid var(--jp-border-color1,#8a8a8a);border-radius:6px;padding:10px 14px;"
    "max-width:62em;font-family:var(--jp-ui-font-family,sans-serif);"
    "color:var(--jp-ui-font-color1,#1a1a1a)"
)
_TABLE = "border-collapse:collapse;width:100%;table-layout:auto;font-size:inherit"
_CELL = (
    "text-align:left;vertical-align:top;padding:3px 12px 3px 6px;"
    "border-top:1px solid var(--jp-border-color2,#bdbdbd)"
)
_HEADS = "".join(
    f"<th scope='col' style='text-align:left;padding:3px 12px 3px 6px'>{name}</th>"
    for name in ("", "where", "cause", "cure")
)
