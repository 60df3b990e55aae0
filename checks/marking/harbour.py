"""Harbour: the class's table of harbour runs, with each learner's time and accuracy.

The programs go through the same door as in marking: a worker reads the notebooks, runs the
programs confined, and tells how they went.  One bad file is one line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from robotsim import KitError

from ..course.classroom import marked_on
from ..course.config import check_course
from ..course.shelf import SUBMITTED
from .client import Worker

__all__ = ["Entry", "Runs", "harbour_table", "submitted_runs"]

_LESSON = "harbour"


@dataclass(frozen=True)
class Entry:
    """One learner's harbour runs.

    Attributes:
        name: The learner.
        serial: The tug.
        points: What the task earned.
        docked: In how many of the runs the float ended in the dock.
        runs: How many runs there were.
        seconds: Mean time from the order to the report, in s, over the runs that were finished;
            None if none was.
        aside_mm: Mean distance from the line over all runs, in mm; None if it never set off.
    """

    name: str
    serial: int
    points: float
    docked: int
    runs: int
    seconds: float | None
    aside_mm: float | None


class Runs(NamedTuple):
    """The runs of a class: its entries, and (learner, words) of what could not be used."""

    entries: list[Entry]
    for_you: list[tuple[str, str]]


def harbour_table(entries: Iterable[Entry]) -> str:
    """Give the class's table as Markdown, the best first.

    Points decide; then the floats in the dock, the time, the accuracy.
    """
    ranked = sorted(
        entries,
        key=lambda e: (-e.points, -e.docked, e.seconds or 1e9, e.aside_mm or 1e9, e.name),
    )
    rows = [
        "| place | skipper | tug | points | in the dock | time | off the line |",
        "| --: | --- | --: | --: | --: | --: | --: |",
    ]
    for place, made in enumerate(ranked, 1):
        time = f"{made.seconds:.1f} s" if made.seconds is not None else "-"
        aside = f"{made.aside_mm:.1f} mm" if made.aside_mm is not None else "-"
        # A name that holds the table's own mark must not open a column.
        name = " ".join(made.name.split()).replace("|", "\\|")
        rows.append(
            f"| {place} | {name} | {made.serial} | {made.points:g} | {made.docked} of "
            f"{made.runs} | {time} | {aside} |"
        )
    return "\n".join(rows)


def submitted_runs(course: Path, *, unprotected: bool = False) -> Runs:
    """Let the programs of all who have handed in the lesson make their runs, kept in by a worker.

    Args:
        course: The course folder.
        unprotected: Whether to run them also where programs cannot be kept in.

    Returns:
        The entries, and (learner, words) of each whose file could not be used.

    Raises:
        KitError: Nobody has handed in, or programs cannot be kept in here.
    """
    check_course(course)
    roster = marked_on(course)
    found = Runs([], [])
    with Worker(unprotected=unprotected) as worker:
        for file in sorted((course / SUBMITTED).glob(f"*/{_LESSON}/{_LESSON}.ipynb")):
            worker.start()
            learner = file.parent.parent.name
            try:
                student = roster.as_marked(learner)
                told = worker.harbour(_bytes(file), student.serial, student.variant or 0)
            except KitError as fault:
                one = roster.find(learner)
                found.for_you.append((one.name if one else learner, str(fault)))
            else:
                found.entries.append(_entry(student.name, told))
    if not found.entries and not found.for_you:
        raise KitError(
            "Nobody has handed in the lesson harbour in this course.", where=str(course),
            hint="`python3 checks collect FOLDER DOWNLOADS` takes what was handed in.",
        )  # fmt: skip
    return found


def _entry(name: str, told: Mapping[str, Any]) -> Entry:
    return Entry(
        name, told["serial"], told["points"], told["docked"], told["runs"], told["seconds"],
        told["aside_mm"],
    )  # fmt: skip


def _bytes(file: Path) -> bytes:
    """Give a file's bytes.

    Raises:
        KitError: It is a folder, a link to nowhere, or cannot be read.
    """
    try:
        return file.read_bytes()
    except OSError as fault:
        told = fault.strerror or str(fault)
        raise KitError(f"This file cannot be read: {told}.", where=str(file)) from fault
