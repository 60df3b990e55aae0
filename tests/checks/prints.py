"""Prints of recordings: what right programs leave behind, each condensed to a line.

`python -m tests.checks.prints NUMBER` tries every right program on NUMBER of twenty tugs, by turns,
on the lessons' tables and on held-out ones, and prints task, program, tug, variant and the SHA-256
over all that its trials recorded.  Two ways to run the kit agree where their lines do.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterator

from checks import TASKS, check
from robotsim import Whose
from tests.checks.test_programs import beside, programs
from tests.checks.tuning import tuned

TUGS = (0, 3, 7, 12, 19, 28, 37, 45, 58, 66, 73, 84, 97, 105, 118, 131, 144, 159, 177, 200)
VARIANTS = (0, 2)


def prints(many: int, tasks: frozenset[str] = frozenset()) -> Iterator[str]:
    """Go through the lines of some tasks, or all; each program meets so many of the tugs."""
    turn = 0
    for task, asked in TASKS.items():
        for name, text in programs(task, "right_").items():
            for _ in range(many):
                turn += 1
                if tasks and task not in tasks:
                    continue
                serial, variant = TUGS[turn % len(TUGS)], VARIANTS[turn // len(TUGS) % 2]
                files = {**beside(task), asked.program: tuned(task, text, serial)}
                card = check(task, files=files, serial=serial, variant=variant, whose=Whose.KIT)
                mark = hashlib.sha256()
                for made in card.recordings:
                    mark.update(made.to_bytes())
                yield f"{task} {name} {serial} {variant} {mark.hexdigest()}"


if __name__ == "__main__":
    for line in prints(int(sys.argv[1]), frozenset(sys.argv[2:])):
        print(line, flush=True)
