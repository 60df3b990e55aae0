"""Harbour: the class's table of harbour runs, with each learner's time and accuracy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import nbformat

from robotsim import KitError
from robotsim.notebook import OWN_SERIAL, program_cell

from ..judge import check
from ..tasks.harbour.evidence import result
from .classroom import roster_of
from .collect import SUBMITTED

__all__ = ["Entry", "entry", "harbour_table", "submitted_runs"]

_TASK, _LESSON = "harbour.run", "harbour"


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


def entry(name: str, files: Mapping[str, str], serial: int) -> Entry:
    """Let a learner's program make its runs, and give the learner's entry.

    Args:
        name: The learner.
        files: The files on the board, name to text.
        serial: The learner's tug.
    """
    card = check(_TASK, files=files, serial=serial)
    found = [result(recording) for recording in card.recordings]
    times = [run.seconds for run in found if run.docked and run.seconds is not None]
    asides = [run.aside for run in found if run.aside is not None]
    return Entry(
        name, serial, card.points, sum(run.docked for run in found), len(found),
        sum(times) / len(times) if times else None,
        1000 * sum(asides) / len(asides) if asides else None,
    )  # fmt: skip


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


def submitted_runs(course: Path) -> list[Entry]:
    """Give the entries of all who have handed in the lesson in a course.

    Raises:
        KitError: Nobody has, or a notebook cannot be read.
    """
    names = {student.id: student for student in roster_of(course).students}
    found = []
    for file in sorted((course / SUBMITTED).glob(f"*/{_LESSON}/{_LESSON}.ipynb")):
        learner = file.parent.parent.name
        student = names.get(learner)
        serial = OWN_SERIAL if student is None or student.serial is None else student.serial
        found.append(entry(student.name if student else learner, _programs(file), serial))
    if not found:
        raise KitError(
            "Nobody has handed in the lesson harbour in this course.", where=str(course),
            hint="`python -m checks collect FOLDER DOWNLOADS` takes what was handed in.",
        )  # fmt: skip
    return found


def _programs(file: Path) -> dict[str, str]:
    """Give the programs of a notebook, name to text; of two of one name the later."""
    try:
        notebook = nbformat.read(file, as_version=4)  # type: ignore[no-untyped-call]
    except Exception as fault:  # nbformat has no one kind of error for what is no notebook
        raise KitError(f"This notebook cannot be read ({fault}).", where=str(file)) from fault
    cells = (cell.source for cell in notebook.cells if cell.cell_type == "code")
    return dict(filter(None, map(program_cell, cells)))
