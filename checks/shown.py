"""Shown: text that strangers wrote, made safe for a terminal, a page and a gradebook.

A name may hold anything: an escape sequence that moves a cursor, a line break that forges a line,
half of a pair of surrogates that no file can hold, a script.  So there is one way to each place
where text is shown, and each way makes it safe by itself: nobody has to remember to.

- `say` is how every command speaks: one row given is one row shown.
- `on_page` puts text into a page.
- `as_name` is what enters a gradebook, whose own pages put names in as they are.
"""

from __future__ import annotations

import os
import re
import sys
import unicodedata
from html import escape
from typing import TextIO

__all__ = ["as_name", "fitting", "on_line", "on_page", "rows_of", "say", "whole_text"]

_LONGEST_NAME = 100
_JOINERS = "\u200c\u200d"
"""Two marks that Persian, Indic scripts and emoji need (Unicode Standard, 23.2); they hide nothing
and turn nothing round, as other marks of their kind do."""
_ACTS = str.maketrans({"<": "＜", ">": "＞", "&": "＆", '"': "＂", "`": "｀"})
"""What means something in HTML, and its full-width twin, which looks the same and does nothing."""


def on_line(text: object) -> str:
    r"""Give a text as one line that moves nothing: what is not a letter or sign is spelt out.

    >>> on_line("Anna\n\x1b[2Jtaken: bo")
    'Anna\\n\\x1b[2Jtaken: bo'
    """
    return "".join(map(_spelt, str(text)))


def on_page(text: object) -> str:
    """Give a text as HTML that shows it and does nothing; line breaks stay.

    >>> on_page("<script>")
    '&lt;script&gt;'
    """
    plain = str(text).replace("\r\n", "\n")
    return escape("".join(c if c in "\n\t" else _spelt(c) for c in plain))


def as_name(text: str) -> str:
    """Give a person's name as it may stand in a gradebook: one line, no longer than 100 letters.

    >>> as_name("Eve <b>")
    'Eve ＜b＞'
    """
    kept = (" " if _is_hidden(c) else c for c in unicodedata.normalize("NFC", text))
    return " ".join("".join(kept).split())[:_LONGEST_NAME].translate(_ACTS).strip()


def whole_text(text: str) -> str:
    """Give a text without halves of pairs of surrogates, which no file can hold."""
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def rows_of(text: object) -> list[str]:
    """Give a text's rows, all but the first set in: none passes for one of the command's own."""
    first, *rest = re.split(r"\r\n|\n|\r", str(text))
    return [first, *(row if row.startswith("  ") or not row else f"  {row}" for row in rest)]


def say(*rows: object, file: TextIO | None = None, end: str = "\n") -> None:
    """Write rows to the person at the terminal, at once: each is one row there, whatever it holds.

    What the terminal has no letters for is spelt out: a name in Chinese stops no command on a
    console that knows Western letters only.

    Args:
        rows: The rows.
        file: Where to; None for the standard output.
        end: What follows each row.
    """
    out = sys.stdout if file is None else file
    try:
        for row in rows or ("",):
            out.write(fitting(row, out) + end)
        out.flush()
    except BrokenPipeError:
        # Whoever read has gone (`... | head`): what is being done goes on to its end, unheard.
        nobody = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nobody, out.fileno())
        os.close(nobody)


def fitting(text: object, out: TextIO) -> str:
    """Give a text as one line in letters that an output knows."""
    code = getattr(out, "encoding", None) or "utf-8"
    return on_line(text).encode(code, "backslashreplace").decode(code)


def _is_hidden(sign: str) -> bool:
    """Tell whether a character shows nothing or may act: controls, marks, halves, private ones."""
    kind = unicodedata.category(sign)
    return kind in ("Cc", "Cs", "Zl", "Zp", "Cn", "Co") or (kind == "Cf" and sign not in _JOINERS)


def _spelt(sign: str) -> str:
    if not _is_hidden(sign):
        return sign
    if "\udc80" <= sign <= "\udcff":  # a byte of a file's name that is no UTF-8 (PEP 383)
        return f"\\x{ord(sign) - 0xDC00:02x}"
    return sign.encode("unicode_escape", "backslashreplace").decode("ascii")
