"""Decided: the book of what was decided by people on single tasks, kept for good."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from ..course.classroom import OWN
from ..course.config import check_course
from ..course.note import read_note, write_note

__all__ = ["Appeal", "appeals_of", "now", "reasons", "write_down"]

_BOOK = "appeals.json"


@dataclass(frozen=True)
class Appeal:
    """One decision.

    Attributes:
        when: When it was made, in UTC.
        learner: Whose task.
        lesson: Of which lesson.
        cell: The task's cell.
        before: The points before; None where nothing was marked yet.
        after: The points after; None where it waits for a person again.
        by: Who decided.
        why: Why, in words.
        found: What the check found anew, and whether anything that it rests on was another; "" if
            it was not run again.
    """

    when: str
    learner: str
    lesson: str
    cell: str
    before: float | None
    after: float | None
    by: str
    why: str
    found: str = ""


def appeals_of(course: Path) -> list[Appeal]:
    """Give all decisions of a course, the earliest first.

    Raises:
        KitError: The book of them is damaged.
    """
    check_course(course)

    def read(told: Any) -> list[Appeal]:
        return [Appeal(**one) for one in told]

    return read_note(course / OWN / _BOOK, read, [], "The book of appeals")


def reasons(course: Path, learner: str, lesson: str) -> dict[str, tuple[float | None, str]]:
    """Give why a person has given points by hand: cell to the points and the words, the latest."""
    last = {one.cell: one for one in appeals_of(course)
            if (one.learner, one.lesson) == (learner, lesson)}  # fmt: skip
    return {cell: (one.after, one.why) for cell, one in last.items() if not one.found}


def write_down(course: Path, made: Iterable[Appeal]) -> None:
    """Put decisions into the book, below those that stand there."""
    if new := [*made]:
        kept = [asdict(one) for one in (*appeals_of(course), *new)]
        write_note(course / OWN / _BOOK, kept)


def now() -> str:
    """Give the time as the book writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%d %H:%M:%S")
