"""Versions: going back to what a program was, taking one over from another notebook, or off.

The first two put the text into a new cell of the notebook: what is handed in is what its cells say.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

from .calls import NAME, Value, called_as
from .errors import KitError, UnknownNameError
from .locker import Locker, Version, ago, why_none
from .notebook import FLASH, MAGIC, missing

__all__ = ["back", "earlier", "remove", "take"]

_NOTEBOOK = Value(str, "a notebook's name in quotes")


@called_as('earlier("drive.py")', program=NAME)
def earlier(program: str) -> None:
    """Print what a program was, the newest first: `earlier("side.py")`.

    Raises:
        KitError: Nothing is kept here, or there is no such program.
    """
    known, first = _versions(program)
    print("\n".join(f"{k}: {_told(one)}" for k, one in enumerate(known, first)))
    print(f'To go back to one of them: back("{program}", 1), with its number.')


@called_as('back("drive.py")', program=NAME)
def back(program: str, steps: int = 1) -> None:
    """Put an earlier text of a program on the board again: `back("side.py")`.

    The text also comes as a new cell, since it is the cells that are handed in.  What was on the
    board until now is kept among the earlier ones.

    Args:
        program: The file's name.
        steps: How many texts back, as `earlier` numbers them.

    Raises:
        KitError: Nothing is kept here, or there is no such text.
    """
    known, first = _versions(program)
    last = len(known) + first - 1
    if not last:
        raise KitError(
            f"{program} has been one text only: there is nothing to go back to.",
            where=f'back("{program}")',
            hint="change its cell and run that; then back brings the text from before.",
        )
    if not (isinstance(steps, int) and 1 <= steps <= last):
        numbers = "1" if last == 1 else f"1 to {last}"
        raise KitError(
            f"{program} has {last} earlier text{'' if last == 1 else 's'}, and none {steps!r}"
            " back.", where=f'back("{program}", {steps!r})',
            hint=f'see them with earlier("{program}"); their numbers: {numbers}.',
        )  # fmt: skip
    meant = known[steps - first]
    print(FLASH.put(program, meant.text))
    print(f"It is as it was: {_told(meant)}. The cell below holds it; what you hand in is")
    print("the text in your cells, so copy it to where it belongs.")
    _new_cell(program, meant.text)


@called_as('take("calibrate.py", "line")', program=NAME, notebook=_NOTEBOOK)
def take(program: str, notebook: str) -> None:
    """Take a program over from another notebook, as a new cell: `take("calibrate.py", "line")`.

    Args:
        program: The file's name.
        notebook: The other notebook, by its name or its lesson's: "4-line" or "line".

    Raises:
        KitError: Nothing is kept here, or there is no such notebook or program.
    """
    own = _locker()
    others = {path.name: path for path in sorted(own.folder.parent.iterdir()) if path.is_dir()}
    found = [name for name in others if name == notebook or name.split("-", 1)[-1] == notebook]
    if not found:
        raise UnknownNameError("notebook with programs", notebook, others)
    files = Locker(others[found[0]], own.notebook).read()
    if program not in files:
        raise UnknownNameError(f"program of {found[0]}", program, files)
    print(f"{program} of {found[0]} is in the cell below. Run that cell to put it on the board.")
    _new_cell(program, files[program])


@called_as('remove("drive.py")', program=NAME)
def remove(program: str) -> None:
    """Take a program off the board: `remove("time.py")`.

    Args:
        program: The file's name.

    Raises:
        KitError: There is no such program, or its folder cannot be written to.
    """
    if program not in FLASH:
        raise KitError(
            f"{program} is not on the board, so there is nothing to take off.",
            where=f'remove("{program}")', hint=f"there are: {', '.join(sorted(FLASH)) or 'none'}.",
        )
    try:
        FLASH.take_off(program)
    except OSError as fault:
        raise KitError(
            f"{program} could not be taken off: {fault.strerror or fault}.",
            where=str(fault.filename or program), hint="may you write to this folder?",
        ) from fault  # fmt: skip
    print(f"{program} is off the board. What you hand in is the text in your cells: give its cell")
    print("another name too, in its first line, or delete that cell.")


def _versions(program: str) -> tuple[Sequence[Version], int]:
    """Give a program's texts, the newest first, and that one's number: 0 while it is on the board.

    Of one that was taken off the newest text is the first to go back to.
    """
    known = _locker().versions(program)
    if not known:
        raise missing(program, FLASH)
    return known, 0 if program in FLASH else 1


def _locker() -> Locker:
    if FLASH.locker is None:
        what, hint = why_none()
        raise KitError(what, hint=hint)
    return FLASH.locker


def _told(one: Version) -> str:
    rows = one.text.splitlines()
    return f"from {ago(one.when)}, {len(rows)} line{'' if len(rows) == 1 else 's'}"


def _new_cell(program: str, text: str) -> None:
    ipython = sys.modules.get("IPython")
    shell = ipython.get_ipython() if ipython else None
    if shell is not None:
        shell.set_next_input(f"{MAGIC} {program}\n{text.rstrip()}")
