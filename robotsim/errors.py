"""Errors: what happened, where, and what to try.

Every error that a person meets is a `KitError` with those three sentences, so
that a notebook, a command and a test all show it in the same form.
"""

from __future__ import annotations

import difflib
import sys
from collections.abc import Iterable
from contextlib import suppress
from glob import escape
from pathlib import Path
from typing import Any

__all__ = ["KitError", "LinkError", "UnknownNameError", "nearest", "pip_words", "unreadable"]


class KitError(Exception):
    """An error told in three sentences.

    Args:
        what: What happened, and what would have been accepted.
        where: The place (a file and line, a cell, a setting); may be empty.
        hint: What to try next.
    """

    def __init__(self, what: str, *, where: str = "", hint: str = "") -> None:
        self.what, self.where, self.hint = what, where, hint
        super().__init__(str(self))

    def __str__(self) -> str:
        """Give the sentences that are there, one a line."""
        rows = [self.what]
        if self.where:
            rows.append(f"Where: {self.where}")
        if self.hint:
            rows.append(f"Try: {self.hint}")
        return "\n".join(rows)

    def __reduce__(self) -> tuple[Any, ...]:
        """Let it travel between processes, which the arguments of subclasses would not."""
        return _again, (type(self), self.what, self.where, self.hint)

    def _render_traceback_(self) -> list[str]:
        """Show a notebook reader the sentences instead of our own call stack."""
        return [f"{type(self).__name__}: {self.what}", *str(self).splitlines()[1:]]


def _again(kind: type[KitError], what: str, where: str, hint: str) -> KitError:
    fault = kind.__new__(kind)
    KitError.__init__(fault, what, where=where, hint=hint)
    return fault


class LinkError(KitError):
    """The program's process sent something that is not in the link's language."""


class UnknownNameError(KitError, LookupError):
    """A name that is not known; the message offers the nearest one that is.

    Args:
        kind: What the name should have named ("table", "task").
        name: The name as given.
        known: All names that would have been accepted.
        hint: What to try, where more is known than the names; "" for the nearest of them.
    """

    def __init__(self, kind: str, name: object, known: Iterable[str], hint: str = "") -> None:
        names = sorted(known)
        guess = nearest(str(name), names)
        usual = f"did you mean {guess!r}?" if guess else "choose one of those above."
        super().__init__(
            f"There is no {kind} called {name!r}. Known: {', '.join(names) or 'none'}.",
            hint=hint or usual,
        )


def unreadable(what: str, path: Path, fault: Exception, hint: str) -> KitError:
    """Give the error for a file that somebody has named: the whole path that was looked at.

    Args:
        what: What it is, as a sentence begins: "The tug's file".
        path: The file, as it was named.
        fault: Why it cannot be read.
        hint: What to try; where there is no such file, the one that was probably meant comes
            first.
    """
    guess = _meant(path) if isinstance(fault, FileNotFoundError) else None
    return KitError(
        f"{what} cannot be read: {getattr(fault, 'strerror', None) or fault}.",
        where=str(path.absolute()),
        hint=f"did you mean {str(guess)!r}? If not, {hint}" if guess else hint,
    )  # fmt: skip


def _meant(path: Path) -> Path | None:
    """Give the file of that name in a folder beside it, or the one beside it most like it."""
    folder = path.absolute().parent
    with suppress(OSError):  # its folder may be none either, or closed
        for below in sorted(folder.glob(f"*/{escape(path.name)}")):
            return path.parent / below.relative_to(folder)
        beside = [one.name for one in folder.iterdir()]
        alike = [name for name in beside if Path(name).suffix == path.suffix]
        if guess := nearest(path.name, alike) or nearest(path.name, beside):
            return path.with_name(guess)
    return None


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Give the known name that looks most like `name`, or None if none comes near."""
    found = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return found[0] if found else None


def pip_words(package: str) -> str:
    """Give the command that adds a package to this very environment; a bare `pip` may be another's.

    Args:
        package: Its name in the package index.
    """
    python = f'"{sys.executable}"' if " " in sys.executable else sys.executable
    return f"`{python} -m pip install {package}`" if python else f"`pip install {package}`"
