"""Regions: what of a cell is a solution or a mark scheme, and what stands there without it."""

from __future__ import annotations

__all__ = ["ANSWER", "SCHEME", "SOLUTION", "STUB", "has_regions", "solved", "starter"]

STUB = "# your lines here"
"""What stands in a release copy where the solution was."""

ANSWER = "*Write your answer here.*"
"""What a learner replaces by an answer in words."""

SOLUTION = ("### BEGIN SOLUTION", "### END SOLUTION")
SCHEME = ("### BEGIN MARK SCHEME", "### END MARK SCHEME")
"""The lines between which a solution and a mark scheme stand."""


def starter(program: str) -> str:
    """Give a program as it stands in a release copy."""
    return _without_region(program, STUB)


def solved(program: str) -> str:
    """Give a program as someone who solved it hands it in: no marks of where the solution is."""
    return "\n".join(row for row in program.split("\n") if row.strip() not in SOLUTION)


def has_regions(source: str, marks: tuple[str, str], *, once: bool) -> bool:
    """Tell whether regions begin and end in turn, each mark alone on a line; one or more of them.

    Args:
        source: The cell's text.
        marks: The lines with which a region begins and ends.
        once: Whether there may be no more than one.
    """
    words = [mark.removeprefix("### ") for mark in marks]
    found = [row.strip() for row in source.split("\n") if any(word in row for word in words)]
    pairs = len(found) // 2
    return bool(found) and found == list(marks) * pairs and not (once and pairs != 1)


def _without_region(program: str, stub: str) -> str:
    """Replace solution regions as nbgrader does."""
    kept: list[str] = []
    inside = False
    for row in program.split("\n"):
        if row.strip() == SOLUTION[0]:
            inside = True
            kept.append(row[: len(row) - len(row.lstrip())] + stub)
        elif row.strip() == SOLUTION[1]:
            inside = False
        elif not inside:
            kept.append(row)
    return "\n".join(kept)
