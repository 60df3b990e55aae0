"""Faults: what stops one thing, and what stops a whole command.

A notebook that cannot be read costs a line, and the others go on.  A full disk, a folder that may
not be written to or a cluster that is gone would spoil each of the others in turn: then the command
ends at once, with one line, and nothing of it counts as a result.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from robotsim import KitError
from robotsim.errors import nearest

from .whole import meant

__all__ = ["HaltError", "halting", "misplaced", "see_own_place", "see_there"]

_KIT = Path(__file__).resolve().parents[1]

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_CLOSED = {errno.EROFS, errno.EACCES, errno.EPERM}
_GOES_ON = "give the same command again then: what is done stays done."


class HaltError(KitError):
    """An error that everything after it would meet too: it ends a command."""


def halting(fault: BaseException, within: Path | None = None) -> HaltError | None:
    """Tell whether a fault is the disk's, which ends a command, and in which words.

    Args:
        fault: What was raised, by Python's own calls, SQLite or whatever stands on it.
        within: A folder that somebody handed in: what may not be read there is its own trouble.

    Returns:
        What to raise in its place, or None if the fault is of another kind.
    """
    for one in _causes(fault):
        if isinstance(one, HaltError):
            return one
        if isinstance(one, OSError) and one.errno in _FULL | _CLOSED:
            place = str(one.filename2 or one.filename or "")
            place = place and str(meant(Path(place)))
            if one.errno in _FULL:
                return _full(place)
            if within is None or not place or within not in (Path(place), *Path(place).parents):
                return _closed(place, one.strerror or "")
        if isinstance(one, sqlite3.Error):
            code = getattr(one, "sqlite_errorcode", 0) & 0xFF  # the rest tells more of the same
            if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
                return _full("the course's gradebook.db")
            if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
                return _closed("the course's gradebook.db", str(one))
    return None


def misplaced(fault: BaseException) -> KitError | None:
    """Tell of a file where a folder was to be, the other way round, or nothing; None for others."""
    if isinstance(fault, FileNotFoundError) and fault.filename:
        return KitError("This is not there, and could not be made.",
                        where=str(meant(Path(fault.filename))),
                        hint="is the name right? Else name another place.")  # fmt: skip
    if isinstance(fault, (FileExistsError, NotADirectoryError)):
        return KitError("There is a file where a folder is needed.", where=str(fault.filename),
                        hint="name another folder.")  # fmt: skip
    if isinstance(fault, IsADirectoryError):
        return KitError("There is a folder where a file is needed.", where=str(fault.filename),
                        hint="name a file, or another folder.")  # fmt: skip
    return None


def see_there(folder: Path) -> None:
    """See to it that a folder is there which a command only looks into.

    Raises:
        KitError: It is not, or it is a file; nothing is made in its place.
    """
    if folder.is_file():
        raise KitError("There is a file where a folder is needed.", where=str(folder),
                       hint="name the folder first.")  # fmt: skip
    if not folder.exists():
        raise KitError("There is no such folder.", where=str(folder), hint=_meant(folder))


def see_own_place(folder: Path, ours: str, what: str, given: Path | None = None) -> None:
    """See that a folder is a new or an empty one, or one that the same command has made before.

    Args:
        folder: The folder.
        ours: The file in it by which one of before is known.
        what: What will be in it, in words, and does not belong into the kit.
        given: A file that may lie in it already, since the command was given it.

    Raises:
        KitError: It holds something else, lies within the kit, or is a file.
    """
    if folder.exists():
        see_there(folder)
    if (folder / ours).is_file():
        return
    if folder.resolve().is_relative_to(_KIT):
        raise KitError(
            f"That folder lies within the kit, and {what} does not belong there.",
            where=str(folder), hint=f"one beside the kit: ../{folder.name}",
        )  # fmt: skip
    if folder.is_dir() and any(given is None or one.resolve() != given.resolve()
                               for one in folder.iterdir()):  # fmt: skip
        raise KitError(
            "There is something else in that folder.", where=str(folder),
            hint="name a new folder, or one that this command has written before.",
        )  # fmt: skip


def _meant(folder: Path) -> str:
    """Say which folder may have been meant by one that is not there."""
    try:
        guess = nearest(folder.name, [one.name for one in folder.parent.iterdir() if one.is_dir()])
    except OSError:
        guess = None
    if guess:
        return f"did you mean {folder.with_name(guess)}?"
    return "is its name right, and do you stand where you think?"


def _full(place: str) -> HaltError:
    return HaltError("The disk is full, or this file may grow no further.", where=place,
                     hint=f"make room; {_GOES_ON}")  # fmt: skip


def _closed(place: str, words: str) -> HaltError:
    return HaltError(
        f"This may not be used or written to ({words}).", where=place,
        hint=f"see to it that you may, or name another folder; {_GOES_ON}",
    )  # fmt: skip


def _causes(fault: BaseException) -> Iterator[BaseException]:
    """Give a fault and what it came of, SQLAlchemy's own way of telling included."""
    seen: list[BaseException] = []
    waiting: list[object] = [fault]
    while waiting:
        one = waiting.pop()
        if isinstance(one, BaseException) and one not in seen:
            seen.append(one)
            waiting += [one.__context__, one.__cause__, getattr(one, "orig", None)]
            yield one
