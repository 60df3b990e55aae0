"""Requests: what has to be checked in a notebook, read from it as text.

Plain dictionaries and lists as JSON gives them, so that no process needs nbformat for this.
"""

from __future__ import annotations

import functools
import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from robotsim.notebook import OWN_SERIAL

from ..course.programs import with_programs

__all__ = ["CHECK", "Request", "kit_mark", "requests_of"]

CHECK = re.compile(r'check\("([A-Za-z0-9_.]+)"\)')
_ROOT = Path(__file__).resolve().parent.parent.parent


class Request(NamedTuple):
    """What to check: a task's id, the files on the board as JSON, name to text, tug and tables.

    The serial number is None for the kit's usual tug; the variant is 0 for the lesson's own tables.
    """

    task: str
    files: str
    serial: int | None = None
    variant: int = 0

    @property
    def mark(self) -> str:
        """A name for what must come of it: the same request under the same kit has the same."""
        plain = json.dumps([kit_mark(), *self])
        return hashlib.sha256(plain.encode()).hexdigest()

    def as_seen(self) -> Iterator[Request]:
        """Give the same on what the learner may have seen instead, the likeliest first.

        That is the lesson's own tables, and the usual tug where there was no card for another.
        """
        if self.variant:
            yield self._replace(variant=0)
        if self.serial not in (None, OWN_SERIAL):
            yield self._replace(serial=None, variant=0)


@functools.cache
def kit_mark() -> str:
    """Give a name for the kit as it is: the simulator, the tasks and the judging."""
    mark = hashlib.sha256()
    for package in ("robotsim", "checks"):
        for path in sorted((_ROOT / package).rglob("*.py")):
            if "show" not in path.parts and "course" not in path.parts:
                mark.update(path.relative_to(_ROOT).as_posix().encode() + b"\0")
                mark.update(hashlib.sha256(path.read_bytes()).digest())
    return mark.hexdigest()


def requests_of(
    cells: Iterable[Any], sources: Mapping[str, str], serial: int | None = None, variant: int = 0
) -> list[tuple[Any, Request]]:
    """Find what has to be checked, each with the files that the cells above it put on the board.

    Args:
        cells: The learner's cells.
        sources: Cell name to text, from the teacher's version.
        serial: The learner's tug.
        variant: The tables to check on.

    Raises:
        ValueError: A graded cell is none that the teacher's version has, or is no check.
    """
    found = []
    for cell, files in with_programs(cells):
        if cell["cell_type"] != "code":
            continue
        name = cell["metadata"]["nbgrader"]["grade_id"]
        # A cell put back by nbgrader begins with a comment that says so.
        check = CHECK.search(sources.get(name, ""))
        if check is None:
            raise ValueError(f"the graded cell {name!r} is no check of this lesson")
        found.append((cell, Request(check[1], json.dumps(files), serial, variant)))
    return found
