"""Seat: what a learner finds in their folder when their server starts; run as that learner.

It runs with the learner's own rights, never with the hub's: a folder that a learner may write to
could lead anybody else astray.  What is there stays; a newer lesson is laid beside changed work.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from robotsim import KitError

from ..course.lessons import LESSONS
from ..course.release import release
from ..shown import rows_of, say

__all__ = ["FOLDER", "lay_out", "main"]

FOLDER = "quayside-lessons"
"""The learner's folder, in their home."""


def lay_out(folder: Path, tug: int | None, lessons: Path = LESSONS) -> Iterator[str]:
    """Hand the lessons out into a learner's folder, and the card of the learner's own tug once.

    Args:
        folder: The folder; made if it is not there.
        tug: The number of the tug; None for the kit's usual one.
        lessons: The folder of the lessons.

    Yields:
        A plain line for each thing done.

    Raises:
        KitError: The folder cannot be used.
    """
    yield from release(folder, lessons)
    try:
        card = folder / "tug.json"
        if tug is not None and not card.exists():
            card.write_text(json.dumps({"serial": tug}), encoding="ascii")
            yield f"tug.json: your tug is number {tug}"
    except OSError as fault:
        raise KitError(
            f"The folder cannot be written to: {fault.strerror or fault}.",
            where=str(fault.filename or folder), hint="is the disk full?",
        ) from fault  # fmt: skip


def main(arguments: Sequence[str] | None = None) -> int:
    """Do it as the command line says, `python -m checks.hub.seat`; give the exit code."""
    parser = argparse.ArgumentParser(prog="python -m checks.hub.seat")
    parser.add_argument("--tug", default=os.environ.get("QUAYSIDE_TUG", ""), metavar="N")
    options = parser.parse_args(arguments)
    os.umask(0o077)
    try:
        tug = int(options.tug) if options.tug else None
        for line in lay_out(Path.home() / FOLDER, tug):
            say(line)
    except KitError as trouble:
        say(*rows_of(trouble), file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
