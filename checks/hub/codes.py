"""Codes: with what each of a class comes in, and which tug is whose.

The file is for the teacher's eyes and the hub's: a row each, with a code that is handed out.  Who
was given a code keeps it, however often the file is written anew.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from html import escape
from pathlib import Path

from robotsim import KitError
from robotsim.live.access import make_password

from ..course.roster import Roster, is_id
from ..home.layout import document
from ..whole import whole_file
from ..words import counted

__all__ = [
    "CODES", "GONE", "LEARNER", "LONGEST", "SLIPS", "TEACHER", "Pass", "changes", "issue",
    "read_codes", "slips", "text_of_codes", "write_private",
]  # fmt: skip

CODES, SLIPS = "codes.csv", "slips.html"
LEARNER, TEACHER, GONE = "learner", "teacher", "gone"
LONGEST = 27
"""Letters of a user name: an account of Linux has 32 (useradd(8)), and ours begin with `seat-`."""
_HEAD = ("user", "name", "role", "tug", "code")
_LETTERS = 10
"""Of a code: 31 letters and digits to choose from, 50 bits."""


@dataclass(frozen=True)
class Pass:
    """What one person needs to come in.

    Attributes:
        user: The user name, in small letters as the hub has it.
        name: The person's name.
        role: `LEARNER` or `TEACHER`; `GONE` who is in the class no more: whoever comes back has the
            code of before.
        tug: The number of the learner's own tug; None for the kit's usual one.
        code: The code that is handed out.
    """

    user: str
    name: str
    role: str
    tug: int | None
    code: str = field(repr=False)


def issue(roster: Roster, teacher: str, known: Collection[Pass] = ()) -> tuple[Pass, ...]:
    """Give everybody of a class a code; who has one keeps it, and who has left is gone.

    Args:
        roster: The class.
        teacher: The teacher's user name.
        known: The codes that were given before.

    Raises:
        KitError: A name is too long for an account, or is the teacher's.
    """
    if not is_id(teacher):
        raise KitError(f"{teacher!r} cannot be a user's name.",
                       hint="letters and digits, then also . _ -: --teacher NAME")  # fmt: skip
    kept = {one.user: one.code for one in known}
    people: list[tuple[str, str, str, int | None]] = [(teacher.lower(), teacher, TEACHER, None)]
    people += [(one.id.lower(), one.name, LEARNER, one.serial) for one in roster.here]
    long = [user for user, *_ in people if len(user) > LONGEST]
    if long:
        raise KitError(
            f"Too long for an account on the server: {', '.join(long)}.",
            hint=f"give them ids of at most {LONGEST} letters in the roster.",
        )
    if roster.find(teacher):
        raise KitError(f"The teacher and a learner are both called {teacher!r}.",
                       hint="name another for the teacher: --teacher NAME")  # fmt: skip
    now = tuple(Pass(user, name, role, tug, kept.get(user) or make_password(_LETTERS))
                for user, name, role, tug in people)  # fmt: skip
    here = {user for user, *_ in people}
    return (*now, *(replace(one, role=GONE) for one in known if one.user not in here))


def changes(before: Collection[Pass], after: Collection[Pass]) -> str:
    """Say in a line who has come and who has gone."""
    were, are = ({one.user for one in some if one.role != GONE} for some in (before, after))
    teachers = ", ".join(one.user for one in after if one.role == TEACHER)
    parts = [counted(sum(one.role == LEARNER for one in after), "learner")]
    for words, names in (("new", are - were), ("gone", were - are)):
        if names and before:
            parts.append(f"{words}: {', '.join(sorted(names))}")
    return f"{'; '.join(parts)}. You log in as {teachers}."


def read_codes(path: Path) -> tuple[Pass, ...]:
    """Read the codes of a class; none where there is no file.

    Raises:
        KitError: The file is damaged.
    """
    try:
        rows = csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig")))
        return tuple(Pass(row["user"], row["name"], row["role"],
                          int(row["tug"]) if row["tug"] else None, row["code"])
                     for row in rows if row["user"] and row["code"])  # fmt: skip
    except FileNotFoundError:
        return ()
    except (KeyError, ValueError, TypeError, csv.Error) as fault:
        raise KitError(f"The file of codes cannot be read ({fault}).", where=str(path),
                       hint=f"its columns are {', '.join(_HEAD)}.") from fault  # fmt: skip


def text_of_codes(passes: Sequence[Pass]) -> str:
    """Give the file's text."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(_HEAD)
    rows.writerows((p.user, p.name, p.role, "" if p.tug is None else p.tug, p.code) for p in passes)
    return out.getvalue()


def slips(passes: Collection[Pass], address: str = "") -> str:
    """Give a page to print and cut: a slip for each learner, in the words of the page to log in.

    Args:
        passes: Everybody's.
        address: Where learners reach the server; "" leaves a line to write it on.
    """
    where = f"<code>{escape(address)}</code>" if address else "_" * 24
    rows = "".join(
        f"<section class='box' style='break-inside: avoid'><strong>{escape(one.name)}</strong><br>"
        f"Open in a browser: {where}<br>Username: <code>{escape(one.user)}</code><br>Password, your"
        f" code: <code>{escape(one.code)}</code><br>all in small letters"
        f"{'' if one.tug is None else f'; your tug is number {one.tug}'}</section>"
        for one in passes if one.role == LEARNER
    )  # fmt: skip
    words = ("<p class='unprinted'>Print, cut, hand out; then delete this file. Whoever has a code"
             " is that learner to the server.</p>")  # fmt: skip
    return document("Codes", f"{words}<div style='columns: 3'>{rows}</div>")


def write_private(path: Path, text: str) -> None:
    """Write a file that its owner alone may read; it is never anything else, not for a moment."""
    with whole_file(path) as part:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with open(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
