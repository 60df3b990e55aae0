"""Platform: the list of a class that a learning platform gives, taken as it is and given back.

Such a file is a table with a heading, in the platform's language, as text with commas, semicolons
or tabs or as a workbook, and with columns of its own.  What says who somebody is, is found by its
heading; everything else is kept.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from robotsim import KitError
from robotsim.errors import unreadable

from .headings import WITH_POINT, meaning, plain
from .roster import is_id
from .workbook import Row, book_rows, is_book, is_locked_or_old, refilled
from .written import refuse_lock, text_of

__all__ = ["Export", "column_of", "filled", "read_export", "roster_text"]

_COMMA = re.compile(r"[-+]?(\d+|\d{1,3}([. \u00a0\u202f]\d{3})+),\d+ ?%?")
_POINT = re.compile(r"[-+]?\d+\.\d+ ?%?")
_BOM = "\ufeff"
_HIGHEST = 20
"""So many rows may stand above the heads, such as a title and a date; invented."""
_KINDS = (".csv", ".tsv", ".tab", ".txt", ".xlsx", ".xlsm", ".xls", ".ods", "")
"""How a list may end, those included of which is told how to save them otherwise."""


@dataclass(frozen=True)
class Export:
    """A platform's list.

    Attributes:
        mark: What parts its cells.
        end: How its lines end.
        bom: Whether it begins, or in UTF-8 had to begin, with a byte order mark.
        quoted: Whether every cell stands in quotation marks.
        rows: All its rows, the heading first.
        ids: The learner of each row but the first, as our roster calls them; "" for no learner.
        people: For each learner: first name, last name, e-mail.
        comma: Whether its numbers have a decimal comma: as they show, else by its language.
        doubtful: What a person should know of rows that look like somebody's of another row.
        book: The file, where it is a workbook; None where it is text.
    """

    mark: str
    end: str
    bom: bool
    quoted: bool
    rows: tuple[tuple[str, ...], ...]
    ids: tuple[str, ...]
    people: Mapping[str, tuple[str, str, str]]
    comma: bool = False
    doubtful: tuple[str, ...] = ()
    book: bytes | None = None


def read_export(path: Path) -> Export:
    """Read a platform's list of a class.

    Raises:
        KitError: It is no such list.
    """
    data = _bytes(path)
    text = "" if is_book(data) else text_of(data).removeprefix(_BOM)
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    try:
        rows = book_rows(data) if is_book(data) else [
            tuple(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        ]  # fmt: skip
    except KitError as fault:
        raise KitError(fault.what, where=str(path), hint=fault.hint) from fault
    if not rows:
        raise KitError("The list is empty.", where=str(path))
    at = {what: k for k, head in reversed([*enumerate(rows[0])])
          if (what := meaning(head))}  # fmt: skip
    if not _are_heads(rows[0]):
        lower = next((k for k, row in enumerate(rows[:_HIGHEST], 1) if _are_heads(row)), None)
        raise KitError(
            "No column of this list says who somebody is.", where=f"{path}, line 1",
            hint=f"its heads are {', '.join(rows[0])[:300]}; call them id, first name, last name, "
                 "email." if lower is None else
                 f"row {lower} looks like the heads: delete the rows above it.",
        )  # fmt: skip
    people: dict[str, tuple[str, str, str]] = {}
    doubtful: list[str] = []
    ids = [_person(row, at, people, f"row {k}", doubtful) for k, row in enumerate(rows[1:], 2)]
    if not people:
        raise KitError("The list holds heads and no learner.", where=str(path),
                       hint="is it the list of the class, with a row to each?")  # fmt: skip
    heading = first.strip().removeprefix(_BOM)
    return Export(
        mark, "\r\n" if "\r\n" in text else "\n", not _is_plain(data),
        heading.startswith('"') and heading.count('"') >= 2 * len(rows[0]), tuple(rows), tuple(ids),
        people, _has_comma(rows, at, mark), tuple(doubtful), data if is_book(data) else None,
    )  # fmt: skip


def _are_heads(row: Sequence[str]) -> bool:
    """Tell whether a row's cells say who somebody is."""
    found = {*map(meaning, row)}
    return bool({"id", "email", "name"} & found) or {"first_name", "last_name"} <= found


def roster_text(export: Export) -> str:
    """Give the class of a list as a roster of ours, to which columns can be added.

    Its cells are parted by the list's own sign, so that the same spreadsheet opens it.
    """
    rows = [["id", "first_name", "last_name", "email", "serial"]]
    rows += [[id, *person, ""] for id, person in export.people.items()]
    out = io.StringIO()
    mark = ";" if export.book is not None and export.comma else export.mark
    csv.writer(out, delimiter=mark, lineterminator="\n").writerows(rows)
    return _BOM + out.getvalue()


def filled(
    export: Export, points: Mapping[str, Mapping[str, float]], titles: Mapping[str, str]
) -> bytes:
    """Give the list as it came, with points filled in; nothing else in it is another.

    Args:
        export: The list.
        points: Learner to lesson to points; what is not there leaves the cell alone.
        titles: Lesson to its title: a column of one bears either in its heading; a lesson without
            a column gets one at the end, if there are points to stand in it.
    """
    rows: list[list[str | float]] = [[*row] for row in export.rows]
    for lesson, title in titles.items():
        at = column_of([str(head) for head in rows[0]], lesson, title)
        if at is None and not any(lesson in points.get(learner, {}) for learner in export.ids):
            continue
        if at is None:
            at = len(rows[0])
            rows[0].append(title)
        for row, learner in zip(rows[1:], export.ids, strict=True):
            found = points.get(learner, {}).get(lesson)
            if row:
                row += [""] * (at + 1 - len(row))
            if found is not None:
                row[at] = float(found)
    if export.book is not None:
        return refilled(export.book, export.rows, rows)
    return _as_text(export, rows).encode("utf-8")


def _as_text(export: Export, rows: Sequence[Row]) -> str:
    out = io.StringIO()
    csv.writer(
        out, delimiter=export.mark, lineterminator=export.end,
        quoting=csv.QUOTE_ALL if export.quoted else csv.QUOTE_MINIMAL,
    ).writerows(
        [f"{cell:g}".replace(".", "," if export.comma else ".") if isinstance(cell, float) else cell
         for cell in row] for row in rows
    )  # fmt: skip
    return (_BOM if export.bom else "") + out.getvalue()


def _bytes(path: Path) -> bytes:
    refuse_lock(path)
    if path.suffix.lower() not in _KINDS:
        raise KitError(f"A file that ends in {path.suffix} is no list of a class.", where=str(path),
                       hint="give the list that the platform exported, .csv or .xlsx.")  # fmt: skip
    try:
        data = path.read_bytes()
    except OSError as fault:
        hint = "give the file that the platform exported."
        raise unreadable("The list", path, fault, hint) from fault
    if is_locked_or_old(data):
        raise KitError("This workbook has a password, or is of the kind from before 2007.",
                       where=str(path), hint="save it as .xlsx or as CSV.")  # fmt: skip
    return data


def _is_plain(data: bytes) -> bool:
    """Tell whether a file is UTF-8 without a mark: what is not is given back with one."""
    try:
        return not data.decode("utf-8").startswith(_BOM)
    except UnicodeDecodeError:
        return False


def _has_comma(rows: Sequence[Sequence[str]], at: Mapping[str, int], mark: str) -> bool:
    """Tell whether a list writes numbers with a decimal comma."""
    cells = [cell.strip() for row in rows[1:] for cell in row]
    for known, comma in ((_COMMA, True), (_POINT, False)):
        if any(map(known.fullmatch, cells)):
            return comma
    heads = {plain(rows[0][k]) for k in at.values()}
    # Where the comma is the decimal sign, spreadsheets part cells by semicolons (common practice).
    return bool(heads - WITH_POINT) or mark == ";"


def _person(
    row: Sequence[str], at: Mapping[str, int], people: dict[str, tuple[str, str, str]],
    where: str, doubtful: list[str],
) -> str:  # fmt: skip
    """Note whom a row is about, and give the id; "" for nobody."""
    own = {what: row[k].strip() for what, k in at.items() if k < len(row)}
    first, last = own.get("first_name", ""), own.get("last_name", "")
    if not first and not last:
        whole = own.get("name", "")
        last, comma, first = (part.strip() for part in whole.rpartition(","))  # `O'Neill, Jr, Sam`
        if not comma:
            first, _, last = whole.rpartition(" ")
    email = own.get("email", "") if re.fullmatch(r"[^@\s]+@[\w.-]+", own.get("email", "")) else ""
    guesses = [own.get("id", ""), email.partition("@")[0], _ascii(f"{first} {last}")]
    guesses = [guess for guess in guesses if is_id(guess)]
    guesses += [f"{guess}-{k}" for guess in guesses[:1] for k in range(2, len(people) + 3)]
    taken = {id.lower() for id in people}
    id = next((guess for guess in guesses if guess.lower() not in taken), "")
    if id:
        other = next((one for one, known in people.items()
                      if email and known[2].lower() == email.lower()), "")  # fmt: skip
        people[id] = (first, last, email)
        if other and id == guesses[0]:
            doubtful.append(f"{where}: {id!r} has the e-mail address of {other!r} in an earlier "
                            f"row, {email}: if it is a slip, mend it in the list")  # fmt: skip
        if id != guesses[0]:
            doubtful.append(f"{where}: {guesses[0]!r} stands in an earlier row too, so this one is "
                            f"{id!r}; if they are one person, delete a row, and if two, it is "
                            "right")  # fmt: skip
    return id


def _ascii(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return "-".join(re.findall(r"[a-z0-9]+", letters.lower()))


def column_of(heads: Sequence[str], lesson: str, title: str) -> int | None:
    """Give the column of a lesson: its title or id stands in the heading as whole words."""
    for wanted in (title, lesson):
        for k, head in enumerate(heads):
            if re.search(rf"(?<!\w){re.escape(wanted.lower())}(?!\w)", head.lower()):
                return k
    return None
