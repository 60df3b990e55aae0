"""Shelf: all that one learner has handed in of one lesson, and which of it counts.

Every file stays under `collected/` with its time; `submitted/`, which nbgrader reads, holds a copy
of the one that counts: the latest that is work (see `content`), or what a person has chosen, until
something later comes.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from ..whole import write_whole
from .content import no_work

__all__ = ["COLLECTED", "SUBMITTED", "Shelf", "came_of", "mark_of"]

COLLECTED, SUBMITTED = "collected", "submitted"
_CHOSEN = "chosen.txt"
_CAME = "came.txt"
"""The platform's own name of the folder in which it handed this learner's work out."""
_STAMP = "%Y-%m-%d-%H-%M-%S"
_LONG = len("2026-03-01-10-00-00")


class Shelf:
    """One learner's files of one lesson.

    Args:
        course: The course folder.
        learner: The learner's id.
        lesson: The lesson.
    """

    def __init__(self, course: Path, learner: str, lesson: str) -> None:
        self.lesson, self.place = lesson, course / COLLECTED / lesson / learner
        self.target = course / SUBMITTED / learner / lesson / f"{lesson}.ipynb"
        self._copy = course / "release" / lesson / f"{lesson}.ipynb"

    def add(self, data: bytes, when: datetime, *, sure: bool) -> str:
        """Put a file beside the earlier ones; give its name there, "" if it was there already.

        The same text may be handed in again after another one: where the time is `sure`, told by
        the name and not by a disk, it then counts as later.
        """
        if self.target.is_file():  # brought here by other means, such as nbgrader's exchange
            known = _noted(self.target.with_name("timestamp.txt"))
            came = known or datetime.fromtimestamp(self.target.stat().st_mtime, UTC)
            self._put(self.target.read_bytes(), came, sure=False)
        return self._put(data, when, sure=sure)

    def named(self, data: bytes) -> str:
        """Give the name of the latest file that holds this."""
        return self.named_by(mark_of(data))

    def named_by(self, mark: str) -> str:
        """Give the name of the latest file of this mark."""
        return max(name for name in self._names() if name.endswith(f"_{mark}.ipynb"))

    def choose(self, name: str) -> bool:
        """Let one file count, whatever it holds, until something comes that is later than all.

        Returns:
            Whether it was the chosen one before.
        """
        before = self._chosen(self._names())
        write_whole(self.place / _CHOSEN, f"{name}\n{self._names()[-1]}\n".encode("ascii"))
        return before == name

    def counts(self) -> str:
        """Give the mark of the file that counts; "" where there is none."""
        return mark_of(self.target.read_bytes()) if self.target.is_file() else ""

    def note_folder(self, folder: str) -> None:
        """Note by which name the platform knows this learner's work, to send feedback back."""
        write_whole(self.place / _CAME, folder.encode("utf-8", "surrogateescape"))

    def forget_folder(self, folder: str) -> None:
        """Take that back, if it was this folder."""
        path = self.place / _CAME
        if path.is_file() and path.read_text("utf-8", "surrogateescape") == folder:
            path.unlink()

    def withdraw(self, data: bytes) -> bool:
        """Take away a file that belongs elsewhere; tell whether it was here.

        What then counts is the latest of the others; where there are none, nothing does.
        """
        mark = mark_of(data)
        own = [name for name in self._names() if name.endswith(f"_{mark}.ipynb")]
        for name in own:
            (self.place / name).unlink()
        if self._names():
            self.settle()
        elif self.target.is_file() and mark_of(self.target.read_bytes()) == mark:
            self.target.unlink()
            self.target.with_name("timestamp.txt").unlink(missing_ok=True)
            if not any(self.target.parent.iterdir()):
                self.target.parent.rmdir()
        return bool(own)

    def came(self) -> datetime | None:
        """Give the time of the file that counts; None where there is none."""
        return _noted(self.target.with_name("timestamp.txt"))

    def is_late(self, name: str) -> bool:
        """Tell whether a file came when one of a later time counted already."""
        counts = self.came()
        return counts is not None and counts > _stamp(name)

    def settle(self, came: Mapping[str, str] | None = None) -> str:
        """Put the file that counts where nbgrader reads it; say what a person should know of it.

        Args:
            came: A file's mark to the path in the downloads by which a person knows it.
        """
        names = self._names()
        chosen = self._chosen(names)
        works = [n for n in names if not self._lacks(n)] if len(names) > 1 else []
        best = chosen or (works or names)[-1]
        data = (self.place / best).read_bytes()
        if not self.target.is_file() or self.target.read_bytes() != data:
            write_whole(self.target, data)
        note = self.target.with_name("timestamp.txt")
        write_whole(note, f"{_stamp(best):%Y-%m-%d %H:%M:%S} UTC\n".encode())
        if chosen:
            return ""
        if not works and (lacks := self._lacks(best)):
            if len(names) > 1:
                return f"it counts, since none of the {len(names)} that came is work, but {lacks}"
            return f"it counts, since nothing else has come, but {lacks}"
        if best != names[-1]:
            return f"the latest one is kept and does not count: {self._lacks(names[-1])}"
        if twins := [n for n in works if n != best and n[:_LONG] == best[:_LONG]]:
            counts, *rest = ((came or {}).get(_mark_in(n)) or str(self.place / n)
                             for n in (best, *twins))  # fmt: skip
            return (f"two came at the same second, and no time tells which is the later: {counts} "
                    f"counts, and {', '.join(rest)} not; --assign says it otherwise")  # fmt: skip
        return ""

    def _put(self, data: bytes, when: datetime, *, sure: bool) -> str:
        name = f"{when:{_STAMP}}_{mark_of(data)}.ipynb"
        kept = self._names()
        same = [other for other in kept if other[_LONG:] == name[_LONG:]]
        if same and (not sure or name in same or kept[-1] in same):
            return ""
        write_whole(self.place / name, data)
        return name

    def _names(self) -> list[str]:
        return sorted(path.name for path in self.place.glob("*.ipynb"))

    def _chosen(self, names: list[str]) -> str:
        try:
            name, newest = (self.place / _CHOSEN).read_text(encoding="ascii").split()
        except (OSError, ValueError):
            return ""
        return name if name in names and names[-1] <= newest else ""

    @functools.cached_property
    def _given(self) -> bytes:
        return self._copy.read_bytes() if self._copy.is_file() else b""

    def _lacks(self, name: str) -> str:
        return no_work((self.place / name).read_bytes(), self._given, self.lesson)


def came_of(course: Path, lesson: str, learner: str) -> str:
    """Give the platform's folder of a learner's work; "" where it came in none."""
    path = course / COLLECTED / lesson / learner / _CAME
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def _stamp(name: str) -> datetime:
    return datetime.strptime(name[:_LONG], _STAMP).replace(tzinfo=UTC)


def _mark_in(name: str) -> str:
    return name[_LONG + 1 :].removesuffix(".ipynb")


def mark_of(data: bytes) -> str:
    """Give the mark by which a file is known again, whatever its name."""
    return hashlib.sha256(data).hexdigest()[:12]


def _noted(path: Path) -> datetime | None:
    try:
        words = path.read_text(encoding="ascii").strip().removesuffix(" UTC")
        return datetime.strptime(words, "%Y-%m-%d %H:%M:%S").replace(tzinfo=UTC)
    except (OSError, ValueError):
        return None
