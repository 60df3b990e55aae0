"""Roster: who is in a class, read from a CSV file that any spreadsheet can write.

One row a learner, with a heading row above.  `id` must be there; `name` (or `first_name` and
`last_name`), `email`, `serial` (the number of the learner's tug) and `variant` (the number of the
held-out tables on which programs are marked) may be.  A column that bears a lesson's name holds
the day until which it is to be handed in: in the row whose id is `*` for everybody, in a learner's
own row for that learner only; `excused` there stands for work that is not asked of that learner.
`joined` and `left` are the days on which a learner came and went: what was due before or after is
not asked either.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from robotsim import KitError, UnknownNameError
from robotsim.errors import nearest
from robotsim.parts import MOST_SERIAL

from ..shown import as_name
from .headings import meaning
from .lessons import ORDER
from .written import LONG, csv_rows, surplus

__all__ = [
    "EVERYBODY", "ROSTER", "Roster", "Student", "is_id", "meant_learner", "read_roster",
    "roster_of",
]  # fmt: skip

ROSTER = "roster.csv"
EVERYBODY = "*"
_PLAIN = ("id", "name", "first_name", "last_name", "email", "serial", "variant", "joined",
          "left")  # fmt: skip
_OURS = {"serial", "variant", "joined", "left"}
"""Columns that no platform's list has."""
_EXCUSED = "excused"
_DOTTED = re.compile(r"(\d\d?)\.(\d\d?)\.(\d{4}|\d\d)(?:,? +(\d\d?)[:.](\d\d)(?:[:.]\d\d)?)?")
"""A day as German spreadsheets turn ours into it; day first, since no date with dots begins with
the month (Unicode CLDR, the short date of each language)."""
_EMAIL = re.compile(r"[^@\s<>\"'&`\\,;:()\[\]]+@[\w.-]+")
_MOST_TOLD = 50
_YEARS = range(2000, 2200)
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")
_TAKEN = {"guest", "office"}
"""Users whom every class's broker and room have (`robotsim.live.access`)."""
_NO_FOLDERS = {"con", "prn", "aux", "nul", *(f"{n}{k}" for n in ("com", "lpt") for k in range(10))}
"""Names that Windows keeps for itself (its documented reserved device names)."""


@dataclass(frozen=True)
class Student:
    """One learner.

    Attributes:
        id: The name of the learner's folder; letters, digits, `.`, `_` and `-`.
        first_name: May be empty.
        last_name: May be empty.
        email: May be empty.
        serial: The serial number of the learner's tug; None for the kit's usual one.
        variant: Which held-out tables the learner's programs are marked on; 0 for the lesson's own,
            None for those of the class.
        due: Lesson to a time of the learner's own until which it is to be handed in, in UTC.
        excused: Lessons that are not asked of this learner.
        joined: When the learner came into the class, in UTC; None for from the first day on.
        left: When the learner left it, in UTC; None for one who is there.
    """

    id: str
    first_name: str = ""
    last_name: str = ""
    email: str = ""
    serial: int | None = None
    variant: int | None = None
    due: Mapping[str, datetime] = field(default_factory=dict)
    excused: frozenset[str] = frozenset()
    joined: datetime | None = None
    left: datetime | None = None

    @property
    def name(self) -> str:
        """The learner's name, or the id where none is known."""
        return " ".join(filter(None, (self.first_name, self.last_name))) or self.id

    @property
    def has_left(self) -> bool:
        """Whether the day on which the learner left has passed."""
        return self.left is not None and self.left <= datetime.now(UTC)


@dataclass(frozen=True)
class Roster:
    """A class: its learners in order, and until when everybody hands a lesson in (UTC).

    `variant` is the number of the tables on which everybody is marked; None for the course's own.
    """

    students: tuple[Student, ...] = ()
    due: Mapping[str, datetime] = field(default_factory=dict)
    variant: int | None = None

    def find(self, name: str) -> Student | None:
        """Give the learner with this id, whatever its capital letters, or None."""
        return next((s for s in self.students if s.id.lower() == name.lower()), None)

    @property
    def here(self) -> tuple[Student, ...]:
        """The learners who have not left."""
        return tuple(one for one in self.students if not one.has_left)

    def lacks(self, name: str) -> bool:
        """Tell whether there is a class and no row of it is this learner's, or none any more."""
        return bool(self.students) and self.find(name) is None

    def as_marked(self, name: str) -> Student:
        """Give whose tug and tables a learner's programs are marked with.

        Where there is no class at all that is the usual tug.  In a class nobody has it without a
        row that says so: whoever had another would be given points with a tug of nobody's.

        Raises:
            KitError: The class has no row for this learner.
        """
        if self.lacks(name):
            raise KitError(
                f"{name!r} is not in the roster, so nobody can say with which tug it was.",
                hint="put the row back; the day in its column `left` says that somebody has gone.",
            )  # fmt: skip
        return self.find(name) or Student(name, variant=self.variant)

    def excuses(self, student: Student, lesson: str, *, handed_in: bool = False) -> bool:
        """Tell whether a lesson is not asked of a learner, who is excused, came later or left.

        What has no day is asked of everybody who is there now.  Who left keeps what was handed in.
        """
        due = student.due.get(lesson) or self.due.get(lesson)
        early = bool(due and student.joined and due <= student.joined)
        gone = bool(student.left and not handed_in and (due is None or due > student.left))
        return lesson in student.excused or early or gone


def meant_learner(name: str, known: Iterable[str], roster: Roster) -> str:
    """Give the id that a person means by a name: that id, whatever its capital letters.

    A class's server writes ids in small letters, and so do the slips that learners have of it.

    Args:
        name: What was typed.
        known: The ids that there are.
        roster: The class, for what learners are called.

    Raises:
        UnknownNameError: It is no learner's id.
    """
    ids = set(known)
    alike = [name] if name in ids else [id for id in ids if id.lower() == name.lower()]
    if len(alike) != 1:
        raise _unknown_learner(name, ids, roster)
    return alike[0]


def _unknown_learner(name: str, ids: set[str], roster: Roster) -> UnknownNameError:
    """Say that a name is no learner's id; all who are called so, or nearly so, may be meant."""
    words = name.lower().split()
    called = {one.id: (*one.name.lower().split(), one.name.lower())
              for one in roster.students if one.id in ids}  # fmt: skip
    meant = [id for id, names in called.items() if words and {*words} <= {*names}]
    if not meant and not nearest(name, ids):
        meant = [id for id, names in called.items() if words and all(
            nearest(word, names) for word in words)]  # fmt: skip
    told = " or ".join(map(repr, meant))
    hint = f"learners go by their ids here: did you mean {told}?" if meant else ""
    several = re.split(r"[\s,;]+", name.strip())
    if len(several) > 1 and {*several} <= ids:
        hint = f"name one at a time: {' '.join(f'--learner {id}' for id in several)}"
    return UnknownNameError("learner", name, ids, hint)


def is_id(name: str) -> bool:
    """Tell whether a name may be a learner's id."""
    return bool(_ID.fullmatch(name))


def roster_of(course: Path) -> Roster:
    """Give the class of a course; an empty one where no roster is there.

    Raises:
        KitError: It cannot be read.
    """
    path = course / ROSTER
    return read_roster(path, None) if path.is_file() else Roster()


def read_roster(path: Path, lessons: Iterable[str] | None = ORDER) -> Roster:
    """Read a class from a CSV file.

    Args:
        path: The file; commas, semicolons or tabs, UTF-8 or what Western spreadsheets write.
        lessons: The lessons that may have a column; None for whatever has one.

    Returns:
        The class.

    Raises:
        KitError: The file cannot be read, or rows of it are wrong: every one is named.
    """
    rows, first = csv_rows(path)
    if rows[0] is None:
        raise KitError(f"This is no roster: its first row is wrong: {LONG}.", where=str(path),
                       hint="give a CSV file that begins with a row: id,name")  # fmt: skip
    heads = [re.sub(r"[\s-]+", "_", head.strip().lower()) for head in rows[0]]
    heads = ["email" if head == "e_mail" else head for head in heads]
    if not _OURS & {*heads} and any(head not in _PLAIN and meaning(head) for head in heads):
        raise KitError(
            "This looks like the list of a learning platform, and no roster yet.", where=str(path),
            hint=f'first `python3 checks roster "{path.name}" class.csv`, then give class.csv.',
        )  # fmt: skip
    lessons = tuple(set(heads) - set(_PLAIN) if lessons is None else lessons)
    found, bad = _read(rows[1:], first + 1, heads, lessons) if "id" in heads else (Roster(), [])
    bad = [f"line {first}: {told}" for told in _bad_heads(heads, lessons)] + bad
    if bad:
        more = [f"and {len(bad) - _MOST_TOLD} more"] if len(bad) > _MOST_TOLD else []
        raise KitError(
            f"{len(bad)} {'thing is' if len(bad) == 1 else 'things are'} wrong in the roster:\n  "
            + "\n  ".join([*bad[:_MOST_TOLD], *more]),
            where=str(path), hint="mend these in the file; nothing has been made of it yet.",
        )  # fmt: skip
    if not found.students:
        raise KitError("The roster holds no learner.", where=str(path), hint="give a row to each.")
    return found


def _read(
    rows: Sequence[list[str] | None], first: int, heads: Sequence[str], lessons: tuple[str, ...]
) -> tuple[Roster, list[str]]:
    """Read the rows of the learners: the class, and what is wrong in which line."""
    students: list[Student] = []
    due: dict[str, datetime] = {}
    variant: int | None = None
    seen: dict[str, int] = {}
    bad: list[str] = []
    for_all = True
    for line, row in enumerate(rows, first):
        if row is None:
            bad.append(f"line {line}: {LONG}")
            continue
        cells = {head: cell.strip() for head, cell in zip(heads, row, strict=False)}
        if not any(cell.strip() for cell in row):
            continue
        faults = _faults(cells, surplus(row, heads), lessons)
        name = cells.get("id", "").lower()
        if name and seen.setdefault(name, line) != line:
            faults.append(f"{_quoted(cells['id'])} is in line {seen[name]} already")
        if faults:
            for_all = for_all and name != EVERYBODY
            bad += [f"line {line}: {told}" for told in faults]
            continue
        days = {id: _day(cells[id]) for id in lessons
                if cells.get(id) and not _is_excused(cells, id)}  # fmt: skip
        if name == EVERYBODY:
            due, variant = days, _variant(cells)
        else:
            free = frozenset(id for id in lessons if _is_excused(cells, id))
            students.append(replace(_student(cells, days), excused=free))
    bad += [
        f"line {seen[one.id.lower()]}: {one.id!r} has a date for {lesson!r}, and there is none for "
        f"everybody: put one into the row {EVERYBODY}, or nobody can be late"
        for one in students for lesson in one.due if lesson not in due and for_all
    ]  # fmt: skip
    return Roster(tuple(students), due, variant), bad


def _quoted(text: str) -> str:
    return repr(text if len(text) <= 60 else f"{text[:57]}...")


def _bad_heads(heads: list[str], lessons: tuple[str, ...]) -> list[str]:
    known = (*_PLAIN, *lessons)
    bad = []
    for head in heads:
        if head not in known:
            near = meaning(head) or nearest(head, known)
            told = f"; did you mean {near!r}?" if near else f"; known are {', '.join(known)}"
            bad.append(f"there is no column called {_quoted(head)}{told}")
    twice = {head for head in heads if heads.count(head) > 1}
    bad += [f"the column {_quoted(head)} is there twice" for head in twice]
    if "id" not in heads:
        bad.append("a column called 'id' is missing")
    return bad


def _faults(cells: Mapping[str, str], more: str, lessons: tuple[str, ...]) -> list[str]:
    """Say what is wrong with a row."""
    faults = [more] if more else []
    name = cells.get("id", "")
    if name != EVERYBODY and not _ID.fullmatch(name):
        faults.append(
            f"{_quoted(name)} is no id: letters a to z, digits, then also dots, _ and -"
            if name else "no id"
        )
    if name.lower().split(".")[0] in _NO_FOLDERS or name.endswith("."):
        faults.append(f"{_quoted(name)} cannot be a folder's name everywhere")
    if name.lower() in _TAKEN:
        faults.append(f"{_quoted(name)} is a user of every class's broker; give another id")
    for column, what in (("serial", "serial number"), ("variant", "variant of the tables")):
        number = cells.get(column, "")
        if number and not (re.fullmatch("[0-9]{1,9}", number) and int(number) <= MOST_SERIAL):
            faults.append(f"{_quoted(number)} is no {what}: 0 to {MOST_SERIAL}")
    email = cells.get("email", "")
    if email and not _EMAIL.fullmatch(email):
        faults.append(f"{_quoted(email)} is no e-mail address")
    for column in (*lessons, "joined", "left"):
        if cells.get(column) and not (column in lessons and _is_excused(cells, column)):
            try:
                _day(cells[column])
            except ValueError:
                free = f"; or `{_EXCUSED}`" if column in lessons and name != EVERYBODY else ""
                faults.append(
                    f"{_quoted(cells[column])} under {column!r} is no date: write 2026-03-31 or "
                    f"31.3.2026, and 18:00 behind it if need be{free}"
                )
    if name == EVERYBODY:
        faults += [f"{column!r} is each learner's own and says nothing in the row {EVERYBODY}"
                   for column in ("serial", "joined", "left") if cells.get(column)]  # fmt: skip
    elif not faults and cells.get("joined") and cells.get("left") and (
            _day(cells["left"]) < _day(cells["joined"])):  # fmt: skip
        faults.append("the day in 'joined' is after the one in 'left'")
    return faults


def _is_excused(cells: Mapping[str, str], lesson: str) -> bool:
    return cells.get(lesson, "").lower() == _EXCUSED and cells.get("id") != EVERYBODY


def _student(cells: Mapping[str, str], due: Mapping[str, datetime]) -> Student:
    first, last = cells.get("first_name", ""), cells.get("last_name", "")
    if not first and not last:
        first, _, last = cells.get("name", "").rpartition(" ")
    # Who a learner is called may have been chosen by the learner, and nbgrader's pages show it.
    first, last = as_name(first), as_name(last)
    serial = int(cells["serial"]) if cells.get("serial") else None
    joined, left = (_day(cells[name]) if cells.get(name) else None for name in ("joined", "left"))
    if joined is not None and len(cells["joined"]) <= len("2026-03-31"):  # from its morning on
        joined -= timedelta(days=1)
    return Student(cells["id"], first, last, cells.get("email", ""), serial, _variant(cells), due,
                   joined=joined, left=left)  # fmt: skip


def _variant(cells: Mapping[str, str]) -> int | None:
    return int(cells["variant"]) if cells.get("variant") else None


def _day(text: str) -> datetime:
    """Read a date or a time, ISO 8601's or one with dots; a date lasts until its end, here."""
    if dotted := _DOTTED.fullmatch(text.strip()):
        day, month, year, hour, minute = (int(number or 0) for number in dotted.groups())
        when = datetime(year + 2000 if year < 100 else year, month, day, hour, minute)
    else:
        when = datetime.fromisoformat(text)
    if when.year not in _YEARS:
        raise ValueError(f"{when.year} is no year of a course")
    if len(text.strip()) <= len("2026-03-31"):
        when = datetime.combine(when.date(), time(23, 59, 59))
    return when.astimezone(UTC)
