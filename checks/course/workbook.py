"""Workbook: a platform's list as a spreadsheet program's file (.xlsx), read and given back.

Source: the format is ECMA-376, Office Open XML; openpyxl reads and writes it.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from datetime import date
from typing import Any

from robotsim import KitError

__all__ = ["Row", "book_rows", "is_book", "is_locked_or_old", "refilled"]

Row = Sequence[str | float]
_MOST_BYTES = 64 << 20
"""What a list of a class may hold unpacked; one of a thousand learners holds a hundredth of it."""


def is_book(data: bytes) -> bool:
    """Tell whether a file may be such a workbook: it is an archive."""
    return data[:4] == b"PK\x03\x04"


def is_locked_or_old(data: bytes) -> bool:
    """Tell whether a file is a workbook of the older kind, or one with a password."""
    return data[:4] == b"\xd0\xcf\x11\xe0"


def book_rows(data: bytes) -> list[tuple[str, ...]]:
    """Give the rows of a workbook's first sheet as text, the empty ones at its end left out.

    Raises:
        KitError: It cannot be read.
    """
    rows = [tuple(_text(cell) for cell in row)
            for row in _first_sheet(_book(data)).iter_rows(values_only=True)]  # fmt: skip
    while rows and not any(rows[-1]):
        rows.pop()
    return rows


def refilled(data: bytes, before: Sequence[Row], after: Sequence[Row]) -> bytes:
    """Give a workbook anew in which only those cells are others that differ between two tables.

    Args:
        data: The workbook.
        before: Its rows, as `book_rows` gave them.
        after: The rows that are wanted: as many, some longer.
    """
    book = _book(data)
    sheet = _first_sheet(book)
    for r, (old, new) in enumerate(zip(before, after, strict=True), 1):
        for c, value in enumerate(new, 1):
            if (old[c - 1] if c <= len(old) else "") != value:
                sheet.cell(r, c).value = value
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _book(data: bytes) -> Any:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as pack:
            if sum(part.file_size for part in pack.infolist()) > _MOST_BYTES:
                raise ValueError("it holds far more than a list of a class")
        return load_workbook(io.BytesIO(data))
    except Exception as fault:  # openpyxl's errors are of many kinds
        raise KitError(f"This workbook cannot be read ({str(fault)[:200]}).",
                       hint="save it anew, or export it as CSV.") from fault  # fmt: skip


def _first_sheet(book: Any) -> Any:
    if not book.worksheets:
        raise KitError("This workbook has no sheet with cells.", hint="export it as CSV.")
    return book.worksheets[0]


def _text(cell: object) -> str:
    """Give a cell as it is shown: a number without a point where it needs none."""
    if cell is None:
        return ""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return cell.isoformat() if isinstance(cell, date) else str(cell)
