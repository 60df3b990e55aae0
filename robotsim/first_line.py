"""First line: what is said of a cell that begins nearly with `%%program drive.py`."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

from .errors import KitError, nearest

__all__ = ["NAME", "bad_name", "meant_name", "nearly", "with_body"]

NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*\.py")
"""What a file on the board may be called."""
_MAGIC = re.compile(r"\s*%+ *(\w+)[ \t]*(.*)")
_LATER = re.compile(r"^\s*%+[ ]*program(?:(?:\w*[ \t]+|(?=\())(.*))?", re.IGNORECASE | re.MULTILINE)
_ENDINGS = re.compile(r"\.(?:py|pyw|txt|text|ipynb|mpy|python)$", re.IGNORECASE)
_TWO_LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue",
                              "ß": "ss", "æ": "ae", "ø": "oe", "å": "aa"})  # fmt: skip
_USUAL = "drive.py"


def nearly(cell: str, magic: str) -> KitError | None:
    """Say why a cell that was meant for the board is none; None for a cell that is, or never was.

    Args:
        cell: The cell's text.
        magic: What a program's cell begins with.
    """
    text = cell.lstrip("\n")
    first = text.partition("\n")[0]
    if first.startswith(f"{magic} ") or first.rstrip() == magic:
        return None
    found = _MAGIC.match(first)
    word, named = (found[1], found[2].strip()) if found else ("", "")
    plain = magic.lstrip("%")
    if named.startswith(".") and word.lower().startswith(plain):  # the blank was left out
        word, named = plain, word[len(plain) :] + named
    later = _LATER.search(text)
    named = named or ((later[1] or "").strip() if later else "")
    meant = f"{magic} {meant_name(named) if named else 'my_program.py'}"
    hint = f"`{meant}` has to be the very first line, written just so; comments come below it."
    if word == plain and first.lstrip().startswith(f"{magic} "):
        hint = f"`{meant}` has to be the very first line, and to stand at the very left of it."
    elif nearest(word.lower(), [plain]):
        hint = f"did you mean `{meant}`? It has to be the very first line, written just so."
    elif not later:
        return None
    return KitError(
        "This cell does not put a program on the board.", where="its first line", hint=hint
    )


def with_body(magic: str) -> Callable[[list[str]], list[str]]:
    """Give what lets a program's cell with nothing below its first line be an empty program.

    Marking takes it for one; the shell alone would refuse it, and name no cure.
    """

    def lengthened(rows: list[str]) -> list[str]:
        bare = len(rows) == 1 and rows[0].split()[:1] == [magic] and rows[0].startswith(magic)
        return [*rows, "\n"] if bare else rows

    return lengthened


def meant_name(name: str) -> str:
    """Give the name of a file on the board that is nearest to what was written."""
    first = name.split()[0] if name.split() else ""
    if NAME.fullmatch(first):
        return first
    last = re.split(r"[/\\]", name.strip("\"'`()[]<>,:; ./\\"))[-1]
    plain = _ENDINGS.sub("", last).translate(_TWO_LETTERS)
    plain = unicodedata.normalize("NFKD", plain).encode("ascii", "ignore").decode()
    plain = re.sub(r"\W+", "_", plain).strip("_")
    if not plain:
        return _USUAL
    return f"{'program_' if plain[0].isdigit() else ''}{plain}.py"


def bad_name(name: str, magic: str) -> KitError:
    """Give the error for a name that no file on the board can have."""
    quoted = " without quotes" if name[:1] in ("'", '"') else ""
    return KitError(
        "A program's name is letters a to z or A to Z, digits and _, with .py at the end, not "
        f"{name!r}.", hint=f"write {magic} {meant_name(name)}{quoted}.",
    )  # fmt: skip
