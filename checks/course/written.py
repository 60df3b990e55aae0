"""Written: the rows of a table that any spreadsheet or platform wrote as text."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path

from robotsim import KitError
from robotsim.errors import unreadable

from ..words import counted

__all__ = ["LONG", "csv_rows", "is_lock", "refuse_lock", "surplus", "text_of"]

LONG = f"a cell has more than {csv.field_size_limit():,} letters, or a quotation mark stays open"
"""What is wrong with a row that cannot be read."""


_LOCK = re.compile(r"~\$(?P<office>.+)|\.~lock\.(?P<libre>.+)#")
"""What spreadsheet programs lay beside a file that is open in one (common practice, no source)."""


def is_lock(name: str) -> bool:
    """Tell whether a file's name is that of a note that another one is open."""
    return bool(_LOCK.fullmatch(name))


def refuse_lock(path: Path) -> None:
    """See to it that a table is none of the notes that spreadsheet programs lay beside one.

    Raises:
        KitError: It is.
    """
    if found := _LOCK.fullmatch(path.name):
        meant = found["office"] or found["libre"]
        raise KitError(
            "This is the lock file that a spreadsheet program lays beside an open file, no list.",
            where=str(path), hint=f"close the file there, and name {meant}.",
        )  # fmt: skip


def csv_rows(
    path: Path, what: str = "roster", need: str = "give the path of a CSV file: --roster class.csv",
    heading: str = "id,name",
) -> tuple[list[list[str] | None], int]:  # fmt: skip
    """Give a table's rows from its heading on, None for one that cannot be read; its first line.

    Args:
        path: The file.
        what: What it is, in a word.
        need: What to do where it cannot be read.
        heading: With which row it may begin.

    Raises:
        KitError: The file cannot be read, or holds nothing.
    """
    refuse_lock(path)
    try:
        data = path.read_bytes()
    except OSError as fault:
        gone = isinstance(fault, FileNotFoundError)
        hint = need if gone else "see to it that it is a file and that you may read it."
        raise unreadable(f"The {what}", path, fault, hint) from fault
    if data[:2] == b"PK":
        raise KitError("This is a workbook, not a CSV file.", where=str(path), hint="save it as CSV"
                       "; `python3 checks roster LIST.xlsx class.csv` makes a roster of one.")
    # Cut where files break lines and nowhere else: a name may hold other signs that pass for one.
    lines = re.split(r"\r\n|\n|\r", text_of(data))
    first = next((k for k, line in enumerate(lines) if line.strip(" ,;\t")), None)
    if first is None:
        raise KitError(f"The {what} is empty.", where=str(path),
                       hint=f"begin it with a row: {heading}")  # fmt: skip
    mark = max(",;\t", key=lines[first].count)
    # Line by line, so that a row's line is the file's: a cell here never needs a line break.
    return [_cells(line, mark) for line in lines[first:]], first + 1


def surplus(row: Sequence[str], heads: Sequence[str]) -> str:
    """Say that a row has more cells than its heading, so that they may be others'; "" if not."""
    more = len(row) - len(heads) if any(cell.strip() for cell in row[len(heads):]) else 0
    return f"it has {counted(more, 'cell')} more than the heading" if more > 0 else ""


def text_of(data: bytes) -> str:
    """Give what is written in a file, whatever program wrote it."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = data.decode("utf-16", "replace")
    elif data[:2].count(0) == 1:  # UTF-16 without its mark: a plain letter has a zero beside it
        text = data.decode("utf-16-le" if data[1] == 0 else "utf-16-be", "replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", "replace")
    return text.replace("\0", "")


def _cells(line: str, mark: str) -> list[str] | None:
    """Give a row's cells, or None for one that cannot be read."""
    try:
        return next(csv.reader(io.StringIO(line), delimiter=mark), [])
    except csv.Error:
        return None
