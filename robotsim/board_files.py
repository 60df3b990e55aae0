"""Board files: the board that a notebook writes to, as files with names and texts."""

from __future__ import annotations

import os
import re
import warnings
import zlib
from collections.abc import Mapping

from .board.advice import syntax
from .board.names import hides, unheard
from .errors import UnknownNameError, nearest
from .first_line import NAME, bad_name
from .locker import Locker, ago
from .origin import Whose

__all__ = ["FLASH", "MAGIC", "Flash", "missing", "program_cell", "text_mark", "used_by"]

MAGIC = "%%program"
_GRADING = "NBGRADER_EXECUTION"
"""What nbgrader says to the notebooks that it runs (0.9.6, its converters/autograde.py)."""


class Flash(dict[str, str]):
    """The files on the board, name to text.

    Attributes:
        locker: Where they are kept from one day to the next; None where they are not.
    """

    locker: Locker | None = None
    _kept: frozenset[str] = frozenset()

    def keep_in(self, locker: Locker | None) -> None:
        """Take up what lies in a locker, and keep there what is put from now on."""
        self.locker = locker
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Read the locker again: someone may have edited its files, or deleted one."""
        if self.locker is not None:
            try:
                there = self.locker.read()
            except OSError:  # what cannot be read now stays as it was
                return
            for name in self._kept - set(there):
                self.pop(name, None)
            self.update(there)
            self._kept = frozenset(there)

    def note(self, program: str) -> str:
        """Say since when a program and what it imports are on the board; "" where it is not kept.

        Says also where a cell has been changed since, if the notebook was saved after that.
        """
        if self.locker is None or self.locker.when(program) is None:
            return ""
        told = [(n, self._changed(n)) for n in used_by(program, self)]
        since = ago(self.locker.when(program) or 0.0)
        more = "".join(f"; {'' if n == program else n + ': '}{what}" for n, what in told if what)
        return f"{program}, put on the board {since}{more}."

    def _changed(self, name: str) -> str:
        cells = self.locker.cells_since(name) if self.locker else None
        if cells is None:
            return ""
        programs = [found for cell in cells if (found := program_cell(cell.lstrip("\n")))]
        texts = [text.rstrip() for file, text in programs if file == name]
        if not texts:
            return "no cell of this notebook holds it now, so it would not be handed in"
        if self[name].rstrip() in texts:
            return ""
        return "its cell has been changed since: run that cell to put the new text on the board"

    @property
    def whose(self) -> Whose:
        """Whose they are: this person's own, but where nbgrader runs the work of others."""
        return Whose.STRANGER if os.environ.get(_GRADING) == "autograde" else Whose.OWN

    def put(self, name: str, text: str) -> str:
        """Write a file and say so in a line; a file that cannot run is kept, and told.

        Raises:
            KitError: The name is none that a board's file can have.
        """
        if not NAME.fullmatch(name):
            raise bad_name(name, MAGIC)
        self[name] = text
        lines = len(text.splitlines())
        told = f"{name} is on the board ({lines} line{'' if lines == 1 else 's'})."
        if not text.strip():
            told = f"{name} is on the board, but empty: write the program below the first line."
        return told + self._keep(name, text) + _named_alike(name) + _looked_through(name, text)

    def take_off(self, name: str) -> None:
        """Delete a file; where files are kept, its text goes to the earlier ones.

        Raises:
            OSError: The folder in which it is kept cannot be written to.
        """
        if self.locker is not None:
            self.locker.lay_by(name)
            self._kept -= {name}
        del self[name]

    def _keep(self, name: str, text: str) -> str:
        """Put a file into the locker; give a line on what could not be done."""
        if self.locker is None:
            return ""
        try:
            self.locker.put(name, text)
            self._kept |= {name}
        except OSError as fault:
            why = fault.strerror or fault
            return f"\nIt could not be kept for another day ({why}). Where: {self.locker.folder}"
        return ""


def _named_alike(name: str) -> str:
    """Say what a file of the name of one of the board's own modules does; "" for other names."""
    if module := hides(name):
        return (
            f"\nIt hides the board's own module {module}: every program here that imports {module}"
            " gets this file.\nTry: if you did not mean that, give the program another name in its"
            " first line, and take this file off the board: from robotsim import remove, then"
            f' remove("{name}").'
        )
    if module := unheard(name):
        return (
            f"\nNo program can import it: `import {module}` gets the board's own module {module}."
            "\nTry: if another program is to import it, give it another name in its first line."
        )
    return ""


def _looked_through(name: str, text: str) -> str:
    """Say what keeps a program from running, or is better mended; "" where nothing is."""
    try:
        _compile(name, text)
    except SyntaxError as fault:
        place = f"\nWhere: {name}, line {fault.lineno}: {(fault.text or '').strip()}"
        if isinstance(fault, TabError):
            if not (more := _looked_through(name, _spaced(text))):
                return (
                    "\nIt runs on the board, but mixes tabs and spaces; the board takes a tab as"
                    f" far as the next eighth column.{place}\nTry: four spaces everywhere."
                )
            return more
        _, _, _, hint = syntax(name, text) or ("", "", 0, "")
        return f"\nIt cannot run yet: {fault.msg}.{place}" + (f"\nTry: {hint}" if hint else "")
    except (ValueError, MemoryError, RecursionError) as fault:  # a null character; far too deep
        return f"\nIt cannot run yet: {fault}."
    return ""


def _spaced(text: str) -> str:
    """Give a text with its indents as the board counts them, whatever interprets it."""
    rows = [(row, len(row) - len(row.lstrip(" \t"))) for row in text.split("\n")]
    return "\n".join(row[:n].expandtabs(8) + row[n:] for row, n in rows)


def _compile(name: str, text: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        compile(text, name, "exec", dont_inherit=True)


FLASH = Flash()
"""The board that this notebook writes to."""


def missing(program: str, board: Mapping[str, str]) -> UnknownNameError:
    """Give the error for a program that is not on the board: it names the cell to run."""
    cell = f"the cell that begins with `{MAGIC} {program}`"
    guess = nearest(str(program), sorted(board))
    hint = f"did you mean {guess!r}? If not, run {cell} first." if guess else f"run {cell} first."
    return UnknownNameError("program on the board", program, board, hint)


def used_by(program: str, board: Mapping[str, str]) -> list[str]:
    """Name a program and the files of its board that its text, or theirs, may import."""
    names = [program]
    for name in names:  # grows meanwhile
        words = set(re.findall(r"\w+", board.get(name, "")))
        names += [n for n in board if n not in names and n.removesuffix(".py") in words]
    return names


def text_mark(text: str) -> str:
    """Give a short mark of a program's text, by which another text is told from it (CRC-32)."""
    plain = text.replace("\r\n", "\n").rstrip(" \t\r\n")
    return f"{zlib.crc32(plain.encode('utf-8', 'backslashreplace')):08x}"


def program_cell(source: str) -> tuple[str, str] | None:
    """Give (file name, program) of a `%%program` cell's text, None for other cells."""
    head, _, body = source.partition("\n")
    words = head.split()
    if len(words) == 2 and words[0] == MAGIC and NAME.fullmatch(words[1]):
        return words[1], body
    return None
