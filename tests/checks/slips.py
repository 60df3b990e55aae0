r"""Slips: small edits that turn right programs into wrong ones, each with its cause and its cost.

A task's slips stand beside its right programs, in `tests/programs/<lesson>/<task>/slips.py`, as a
tuple `SLIPS`.  A slip is applied to every right program in which it makes sense, whatever its
style: it has an edit for each way in which the same thing can be written, and the first edit that
changes a program counts.  Where none does, the program has not got what the slip would spoil.

    SLIPS = (
        Slip("exchanges the sides", "left and right swapped", ("It turns to port",),
             swap("25, 26", "27, 14")),
        Slip("leaves write() out", "write() forgotten", (EVERY_LAMP,), drop(r"\.write\(\)")),
    )
"""

from __future__ import annotations

import functools
import re
import runpy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

__all__ = [
    "Edit", "Slip", "chained", "drop", "exact", "put", "slips_of", "spoilt", "swap", "unless",
    "where",
]  # fmt: skip

PROGRAMS = Path(__file__).parent.parent / "programs"

Edit = Callable[[str], str]
"""A program to the program with one thing changed; the same text where there is nothing to do."""


@dataclass(frozen=True)
class Slip:
    """One slip.

    Attributes:
        name: What is done ("exchanges the sides").
        cause: The mistake that the card must name first; "" where no card can know.
        costs: Titles of the criteria that must lose points.
        edits: Ways to do it, one for each way of writing.
    """

    name: str
    cause: str
    costs: tuple[str, ...]
    edits: tuple[Edit, ...]

    def __init__(self, name: str, cause: str, costs: tuple[str, ...], *edits: Edit) -> None:
        for field, value in (("name", name), ("cause", cause), ("costs", costs), ("edits", edits)):
            object.__setattr__(self, field, value)

    def applied(self, program: str) -> str | None:
        """Give a program with the slip in it, or None where it makes no sense."""
        return next((new for edit in self.edits if (new := edit(program)) != program), None)


def put(pattern: str, by: str, count: int = 0) -> Edit:
    """Make an edit that puts something else in place of what matches (`^` and `$` are a line's)."""
    return lambda program: re.sub(pattern, by, program, count=count, flags=re.M)


def chained(*edits: Edit) -> Edit:
    """Make an edit of several, each of which must change something."""

    def edit(program: str) -> str:
        new = program
        for one in edits:
            before, new = new, one(new)
            if new == before:
                return program
        return new

    return edit


def exact(*pairs: tuple[str, str]) -> Edit:
    """Make an edit that puts texts in place of others, letter by letter; all must be there."""

    def one(old: str, new: str) -> Edit:
        return lambda program: program.replace(old, new, 1)

    return chained(*(one(old, new) for old, new in pairs))


def where(pattern: str, edit: Edit) -> Edit:
    """Make an edit that is tried only on programs in which something stands."""
    return lambda program: edit(program) if re.search(pattern, program, re.M) else program


def unless(pattern: str, edit: Edit) -> Edit:
    """Make an edit that is tried only on programs in which something does not stand."""
    return lambda program: program if re.search(pattern, program, re.M) else edit(program)


def swap(one: str, other: str) -> Edit:
    """Make an edit that exchanges two texts wherever they stand; both must be there."""

    def edit(program: str) -> str:
        if one not in program or other not in program:
            return program
        either = re.compile(f"{re.escape(one)}|{re.escape(other)}")
        return either.sub(lambda found: other if found[0] == one else one, program)

    return edit


def drop(pattern: str, count: int = 0) -> Edit:
    """Make an edit that takes the statements out whose line matches; `pass` stands for them."""
    return put(rf"^([ \t]*).*(?:{pattern}).*$", r"\1pass", count)


@functools.cache
def slips_of(task: str) -> tuple[Slip, ...]:
    """Give a task's slips; none where its folder has no `slips.py`."""
    file = PROGRAMS.joinpath(*task.split("."), "slips.py")
    return tuple(runpy.run_path(str(file))["SLIPS"]) if file.is_file() else ()


def spoilt(task: str, right: dict[str, str]) -> Iterator[tuple[Slip, str, str]]:
    """Go through (slip, name of the right program, what the slip makes of it).

    Args:
        task: The task.
        right: Its right programs, name to text, with their constants found for a tug.
    """
    for slip in slips_of(task):
        for name, text in right.items():
            wrong = slip.applied(text)
            if wrong is not None:
                compile(wrong, f"{name} that {slip.name}", "exec")
                yield slip, name, wrong
