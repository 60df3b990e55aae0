"""Opened: the cells of a learner's file, in a form that can be relied on, whatever wrote it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from typing import Any

from robotsim import KitError

from ..course.content import is_cut_off
from ..shown import on_line, whole_text

__all__ = ["MOST_BYTES", "Cell", "cells_of"]

MOST_BYTES = 64 * 1024 * 1024
"""A larger file is not read."""
_MOST_TEXT = 256 * 1024
_MOST_CELLS = 2000
_MOST_PICTURES = 24 * 1024 * 1024
_PICTURE = re.compile("image/(png|jpeg|gif|webp)")
_BASE64 = re.compile(r"[A-Za-z0-9+/\s]+={0,2}\s*")

Cell = dict[str, Any]


def cells_of(data: bytes, notes: list[str]) -> list[Cell]:
    """Give what can be read of a file as cells; notes what cannot.

    Raises:
        KitError: It is no notebook; the words are for the person who marks.
    """
    return list(_cells(_parse(_text(data, notes)), notes))


def _text(data: bytes, notes: list[str]) -> str:
    """Give a file's text, whatever wrote it."""
    if len(data) > MOST_BYTES:
        raise KitError(
            f"The file has {len(data) >> 20} MB; more than {MOST_BYTES >> 20} are not read.",
            hint="ask for the notebook with its outputs cleared.",
        )
    if not data.strip(b"\0 \t\r\n"):
        raise KitError("The file is empty.", hint="ask for it once more.")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        notes.append("The file is written in UTF-16; it was read all the same.")
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        notes.append("The file is not written in UTF-8; some letters may be wrong.")
        return data.decode("cp1252", "replace")


def _parse(text: str) -> list[Any]:
    """Give the cells that are in a text."""
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError) as fault:
        if is_cut_off(text):
            raise KitError("The file is cut off: its end is missing.",
                           hint="ask for it once more.") from fault  # fmt: skip
        raise KitError(
            f"The file is not a notebook: {_unlike(fault)}.",
            hint="it may be damaged or another kind of file; ask for it once more.",
        ) from fault
    cells = plain.get("cells") if isinstance(plain, dict) else None
    if cells is None and isinstance(plain, dict):  # as notebooks were written until 2014
        sheets = plain.get("worksheets")
        if isinstance(sheets, list):
            lists = [s.get("cells") for s in sheets if isinstance(s, dict)]
            cells = [cell for one in lists if isinstance(one, list) for cell in one]
    if not isinstance(cells, list) or not cells:
        raise KitError("The file is a notebook without cells.", hint="ask for it once more.")
    return cells


def _unlike(fault: Exception) -> str:
    """Say in plain words why a text is not made as a notebook is."""
    if isinstance(fault, json.JSONDecodeError) and fault.pos:
        return f"from its line {fault.lineno} on it is not written as one"
    return "it is not written as one"


def _cells(found: Sequence[Any], notes: list[str]) -> Iterator[Cell]:
    """Go through what can be read as cells, in a form that can be relied on."""
    if len(found) > _MOST_CELLS:
        notes.append(f"The file has {len(found)} cells; those after {_MOST_CELLS} were left out.")
    odd, room = 0, _MOST_PICTURES
    for cell in found[:_MOST_CELLS]:
        text = cell.get("source", cell.get("input", "")) if isinstance(cell, dict) else None
        if isinstance(text, list) and all(isinstance(row, str) for row in text):
            text = "".join(text)
        if not isinstance(text, str) or not isinstance(cell, dict):
            odd += 1
            continue
        text = whole_text(text)
        if len(text) > _MOST_TEXT:
            notes.append(f"A cell with {len(text)} letters was cut; the file has all of it.")
            text = text[:_MOST_TEXT]
        kind = cell.get("cell_type")
        metadata = cell.get("metadata")
        about = metadata.get("nbgrader") if isinstance(metadata, dict) else None
        name = about.get("grade_id") if isinstance(about, dict) else None
        pictures = _pictures(cell.get("attachments"), room, notes) if kind == "markdown" else {}
        room -= sum(len(data) for bundle in pictures.values() for data in bundle.values())
        yield {
            "cell_type": kind if kind in ("code", "markdown") else "raw", "source": text,
            "name": _label(name), "id": _label(cell.get("id")),
            "outputs": cell.get("outputs"), "attachments": pictures,
        }  # fmt: skip
    if odd:
        notes.append(f"{odd} cells cannot be read and were left out.")


def _label(name: Any) -> str:
    return whole_text(name[:200]) if isinstance(name, str) else ""


def _pictures(found: Any, room: int, notes: list[str]) -> dict[str, dict[str, str]]:
    """Give the pictures that were pasted into a text, by the names that the text calls them."""
    kept: dict[str, dict[str, str]] = {}
    for name, bundle in found.items() if isinstance(found, dict) else ():
        for kind, data in bundle.items() if isinstance(bundle, dict) else ():
            if isinstance(data, list) and all(isinstance(row, str) for row in data):
                data = "".join(data)
            if (isinstance(data, str) and _PICTURE.fullmatch(kind) and len(data) <= room
                    and _BASE64.fullmatch(data)):  # fmt: skip
                room -= len(data)
                kept.setdefault(whole_text(name), {})[kind] = data
            else:
                notes.append(f"A picture in a text was left out: {on_line(name)[:80]}.")
    return kept
