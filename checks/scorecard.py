"""Scorecard: what a check found, as a number for a grader and a card for a reader.

nbgrader reads the text form of a check cell's result.  So a scorecard prints
as a plain number between 0 and the task's maximum, whatever happened; its
HTML form is the card.  It writes nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from types import NoneType

from robotsim import KitError, Recording
from robotsim.calls import Value, called_as

from .mistakes import Cause
from .task import Criterion, Finding, Task

__all__ = ["Row", "Scorecard", "texts_judged"]


@dataclass(frozen=True)
class Row:
    """One criterion with what was found and what that earned.

    `waits` says that it was met, but does not count while an essential one has earned nothing;
    `bare` that a board without a program gives the same: nothing was done that could be judged.
    """

    criterion: Criterion
    finding: Finding
    points: float
    waits: bool = False
    bare: bool = False

    @property
    def full(self) -> bool:
        """Whether it earned everything."""
        return self.points == self.criterion.points

    @property
    def asked(self) -> str:
        """What was asked, in words."""
        return self.finding.asked or self.criterion.asks


@dataclass(frozen=True)
class Scorecard:
    """The outcome of a check.

    Attributes:
        task: The task.
        rows: The criteria with their findings and points.
        cause: The likeliest cause of what is missing, or None.
        recordings: What the points rest on.
        judged: Which program was judged, and since when it is on the board; "" where not known.
        texts: The files that were judged, each with the mark of its text; none where they were
            not those of a notebook's board.
    """

    task: Task
    rows: tuple[Row, ...]
    cause: Cause | None
    recordings: tuple[Recording, ...]
    judged: str = ""
    texts: tuple[tuple[str, str], ...] = ()

    @classmethod
    def of(
        cls,
        task: Task,
        recordings: Sequence[Recording],
        findings: Sequence[Finding],
        cause: Cause | None,
    ) -> Scorecard:
        """Make a card from findings; while an essential one has earned nothing, nothing counts."""
        pairs = list(zip(task.criteria, findings, strict=True))
        void = any(c.essential and not f.share > 0.0 for c, f in pairs)
        rows = tuple(
            Row(c, f, 0.0 if void else _earned(c.points, f.share), void and f.share > 0.0)
            for c, f in pairs
        )
        return cls(task, rows, cause, tuple(recordings))

    @classmethod
    def without_program(cls, task: Task) -> Scorecard:
        """Give the card of a task whose program is not on the board."""
        nothing = Finding(0.0, "not tried", "a program")
        cause = Cause(
            "the program is not on the board",
            f"the board has no file {task.program}",
            f"run the cell that begins with %%program {task.program}, then check again; that line "
            "must be the first of the cell.",
        )
        return cls(task, tuple(Row(c, nothing, 0.0, bare=True) for c in task.criteria), cause, ())

    def beside(self, without: Sequence[Finding]) -> Scorecard:
        """Give the card with the rows told apart that a board without a program fills alike."""
        pairs = zip(self.rows, without, strict=True)
        rows = (replace(r, bare=not r.finding.share > 0.0 and r.finding == f) for r, f in pairs)
        return replace(self, rows=tuple(rows))

    @property
    def points(self) -> float:
        """What the program has earned, from 0 to `max_points`."""
        return round(min(sum(row.points for row in self.rows), self.max_points), 2)

    @property
    def max_points(self) -> float:
        """The most that the task can earn."""
        return self.task.points

    @property
    def full(self) -> bool:
        """Whether everything was earned."""
        return all(row.full for row in self.rows)

    def __repr__(self) -> str:
        """Give the points as a plain number, as nbgrader reads it."""
        return f"{max(0.0, self.points):g}"

    def __str__(self) -> str:
        """Give the card as text."""
        lines = [f"{self.task.title}: {self.points:g} of {self.max_points:g} points"]
        for row in self.rows:
            lines.append(
                f"  {row.points:g}/{row.criterion.points:g}  {row.criterion.title}: "
                f"{row.finding.measured}{self._waits_for(row)}; asked: {row.asked}"
            )
        if self.cause and not self.full:
            for lead, cause in _causes(self.cause):
                lines.append(f"  {lead} {cause.name} ({cause.evidence}).")
                lines.append(f"  Try: {cause.hint}")
        return "\n".join(lines).replace("`", "")

    def _repr_html_(self) -> str:
        """Give the card for a notebook; its look does not rest on colour."""
        head = (
            f"<div role='group' aria-label='Scorecard'{self._texts()} style='{_CARD}'>"
            f"<div style='{_HEAD}'><strong>{escape(self.task.title)}</strong>"
            f"<span>{self.points:g} of {self.max_points:g} points</span></div>"
            f"<div style='overflow-x:auto'>"
            f"<table style='{_TABLE}'><thead><tr>{_HEADS}</tr></thead><tbody>"
        )
        body = "".join(_row_html(row, self._waits_for(row)) for row in self.rows)
        judged = f"<p style='{_NOTE}'>Judged: {escape(self.judged)}</p>" if self.judged else ""
        return head + body + "</tbody></table></div>" + self._cause_html() + judged + "</div>"

    @called_as("replay(1)", row=Value((int, NoneType), "the number of a row"))
    def replay(self, row: int | None = None) -> None:
        """Show the moment on which a row rests.

        Args:
            row: The row's number, from 1; without one, the first row that lacks points.

        Raises:
            KitError: There is no such row, or the program was not on the board.
        """
        from robotsim import replay

        if not self.recordings:
            raise KitError(
                "There is no recording to show.", hint="run the cell with the program first."
            )
        if row is not None and not 1 <= row <= len(self.rows):
            raise KitError(
                f"The card has rows 1 to {len(self.rows)}, not {row!r}.", hint="try replay(1)."
            )
        told = [row for row in self.rows if row.finding.at is not None]
        lacking = [row for row in told if not row.full]
        chosen = self.rows[row - 1] if row else (lacking or told or self.rows)[0]
        trial = chosen.finding.trial
        marks = [
            (r.finding.at, r.criterion.title)
            for r in self.rows
            if r.finding.at is not None and r.finding.trial == trial
        ]
        replay(
            self.recordings[trial], at=chosen.finding.at or 0.0, marks=marks,
            targets=self.task.targets, air=self.task.runs[trial].air,
        )  # fmt: skip

    def _waits_for(self, row: Row) -> str:
        """Say why a row that was not missed earned nothing; "" for the others."""
        if row.bare and self.recordings:
            return "; nothing to judge yet"
        first = next((r.criterion.title for r in self.rows if r.criterion.essential), "")
        return f"; does not count before this does: {first}" if row.waits else ""

    def _texts(self) -> str:
        """Say, where no reader sees it, which texts were judged: a notebook may have others."""
        told = " ".join(f"{name}:{mark}" for name, mark in self.texts)
        return f" data-judged='{told}'" if told else ""

    def _cause_html(self) -> str:
        if self.full:
            return f"<p style='{_NOTE}'>All points. Well steered.</p>"
        if self.cause is None:
            return self._see_html()
        told = "".join(
            f"<p style='{_NOTE}'><strong>{lead} {_code(cause.name)}</strong>; "
            f"{_code(cause.evidence)}.<br>Try: {_code(cause.hint)}</p>"
            for lead, cause in _causes(self.cause)
        )
        return told + self._see_html()

    def _see_html(self) -> str:
        if not self.recordings:
            return ""
        call = f'check("{self.task.id}").replay()'
        words = f"To see it happen, in a new cell: <code>{escape(call)}</code>"
        return f"<p style='{_NOTE}'>{words}</p>"


def texts_judged(html: str) -> dict[str, str]:
    """Give the marks of the texts that a saved card judged, by their files' names; {} if unsaid."""
    found = _TEXTS.search(html)
    return dict(_ONE_TEXT.findall(found[1])) if found else {}


def _earned(points: float, part: float) -> float:
    """Give a share of the points in steps of a quarter, and never all for less than all."""
    if part >= 1.0:
        return points
    if not part > 0.0:  # also where a judge could not tell: not a number
        return 0.0
    step = 0.25
    earned = int(part * points / step) * step
    return min(earned, max(points - step, 0.0))


def _causes(cause: Cause) -> list[tuple[str, Cause]]:
    """Give what is named, each with the words that lead to it."""
    if cause.sure:
        told = [("Likeliest cause:", cause)]
        return told + ([("There is more:", cause.second)] if cause.second else [])
    lead = "What is missing is plain, the cause is not sure. Perhaps:"
    return [(lead, cause), *([("Or:", cause.second)] if cause.second else [])]


def _code(text: str) -> str:
    """Give a text for a page; what stands between backticks is set as code."""
    return re.sub(r"`([^`]*)`", r"<code>\1</code>", escape(text))


def _row_html(row: Row, waits_for: str) -> str:
    mark = "✓" if row.full else "◐" if row.points else "○" if row.waits or row.bare else "✗"
    when = "" if row.finding.at is None else f" (look at {row.finding.at:.2f} s)"
    cells = (
        f"{mark} {row.points:g}/{row.criterion.points:g}",
        row.criterion.title,
        row.finding.measured + (waits_for or ("" if row.full else when)),
        row.asked,
    )
    styles = (_CELL + ";white-space:nowrap", *[_CELL] * 3)
    pairs = zip(styles, cells, strict=True)
    return "<tr>" + "".join(f"<td style='{s}'>{_code(c)}</td>" for s, c in pairs) + "</tr>"


_TEXTS = re.compile("data-judged='([^']*)'")
_ONE_TEXT = re.compile(r"(\w+\.py):([0-9a-f]{8})")
_CARD = (
    "border:1px solid var(--jp-border-color1,#8a8a8a);border-radius:6px;padding:10px 14px;"
    "max-width:60em;font-family:var(--jp-ui-font-family,sans-serif);"
    "color:var(--jp-ui-font-color1,#1a1a1a)"
)
_HEAD = "display:flex;justify-content:space-between;gap:2em;font-size:110%;margin-bottom:6px"
# JupyterLab would make all columns alike, however much or little stands in them.
_TABLE = "border-collapse:collapse;width:100%;table-layout:auto;font-size:inherit"
_CELL = (
    "text-align:left;vertical-align:top;padding:3px 12px 3px 6px;"
    "border-top:1px solid var(--jp-border-color2,#bdbdbd)"
)
_NOTE = "margin:8px 0 0"
_HEADS = "".join(
    f"<th scope='col' style='text-align:left;padding:3px 12px 3px 6px'>{name}</th>"
    for name in ("points", "what", "measured", "asked")
)
