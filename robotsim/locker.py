"""Locker: the folder in which a learner's board keeps its files from one day to the next.

Where a notebook is opened by a person, and the folder `my-board` lies beside it, each notebook has
a locker of its own there:

    my-board/1-lamps/side.py                               what is on the board
    my-board/1-lamps/earlier/side/2026-11-29 17.03.12.py   what was there before

One for each notebook, and not one for all: a check at home must find what marking will find, and
marking has one notebook alone.  Whatever runs notebooks without a person (nbgrader, nbval, a
build) has no locker, so that nothing left behind changes what it finds.
"""

from __future__ import annotations

import itertools
import json
import os
import re
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

__all__ = ["BOARDS", "MOST", "Locker", "Version", "ago", "own_locker", "why_none"]

BOARDS = "my-board"
"""The folder beside the notebooks; where it is not, nothing is kept."""
MOST = 100
"""Versions of one file that are kept; the oldest go first."""
_EARLIER = "earlier"
_SESSION = "JPY_SESSION_NAME"
"""Where a Jupyter server says which notebook a kernel is for (jupyter_server 2, its sessions)."""
_NOT_IN_NAMES = re.compile(r'[<>:"/\\|?*\x00-\x1f]')
_STAMP = "%Y-%m-%d %H.%M.%S"


class Version(NamedTuple):
    """A text that a file had: since when (seconds since 1970), and the text."""

    when: float
    text: str


@dataclass(frozen=True)
class Locker:
    """One notebook's folder of files.

    Attributes:
        folder: The folder; made when something is put into it.
        notebook: The notebook's file, for comparing what its cells say now.
    """

    folder: Path
    notebook: Path

    def read(self) -> dict[str, str]:
        """Give the files, name to text."""
        return {path.name: _text(path) for path in sorted(self.folder.glob("*.py"))}

    def put(self, name: str, text: str) -> None:
        """Put a file in; another text that it had goes to the earlier ones.

        Raises:
            OSError: The folder cannot be written to.
        """
        place = self.folder / name
        self.folder.mkdir(parents=True, exist_ok=True)
        if place.exists() and _text(place) != text:
            self._lay_by(place)
        fresh = place.with_suffix(".new")
        fresh.write_bytes(text.encode("utf-8", "backslashreplace"))
        os.replace(fresh, place)

    def lay_by(self, name: str) -> None:
        """Put a file to the earlier ones, if it is there.

        Raises:
            OSError: The folder cannot be written to.
        """
        if (self.folder / name).exists():
            self._lay_by(self.folder / name)

    def when(self, name: str) -> float | None:
        """Give when a file was put in, in seconds since 1970."""
        try:
            return (self.folder / name).stat().st_mtime
        except OSError:
            return None

    def versions(self, name: str) -> list[Version]:
        """Give what a file is and what it was, the newest first."""
        paths = [self.folder / name, *self._laid_by(name)]
        return [Version(path.stat().st_mtime, _text(path)) for path in paths if path.exists()]

    def cells_since(self, name: str) -> list[str] | None:
        """Give the notebook's code cells, if it was saved after a file was put in; else None."""
        put = self.when(name)
        try:
            if put is None or self.notebook.stat().st_mtime < put:
                return None
            cells = json.loads(self.notebook.read_text(encoding="utf-8"))["cells"]
            return [_source(cell) for cell in cells if cell["cell_type"] == "code"]
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def _lay_by(self, place: Path) -> None:
        """Put a file's text to the earlier ones, under the time at which it came."""
        when = datetime.fromtimestamp(place.stat().st_mtime).strftime(_STAMP)
        folder = self.folder / _EARLIER / place.stem
        folder.mkdir(parents=True, exist_ok=True)
        names = (f"{when}{f' {n:03}' if n > 1 else ''}.py" for n in itertools.count(1))
        os.replace(place, folder / next(name for name in names if not (folder / name).exists()))
        for old in self._laid_by(place.name)[MOST:]:
            old.unlink()

    def _laid_by(self, name: str) -> list[Path]:
        """Give the earlier ones of a file, the newest first."""
        found = (self.folder / _EARLIER / Path(name).stem).glob("*.py")
        return sorted(found, key=lambda path: (path.stat().st_mtime, path.name), reverse=True)


def own_locker(
    folder: Path | None = None, around: Mapping[str, str] = os.environ
) -> Locker | None:
    """Give the locker of the notebook that this kernel is for; None where nothing is kept.

    Args:
        folder: The notebook's folder; None for the one in which the kernel runs.
        around: The environment's variables.
    """
    name, here = _own_name(around), (folder or Path.cwd()).resolve()
    if not name or _is_graded(around) or not (here / BOARDS).is_dir():
        return None
    plain = _NOT_IN_NAMES.sub("_", name.removesuffix(".ipynb")).strip(" .") or "notebook"
    return Locker(here / BOARDS / plain, here / name)


def why_none(
    folder: Path | None = None, around: Mapping[str, str] = os.environ
) -> tuple[str, str]:
    """Say why this kernel has no locker, and what to try; both arguments as `own_locker` has them.

    A folder that is there may hold programs from other days, and that is said.
    """
    boards = (folder or Path.cwd()).resolve() / BOARDS
    there = sorted(path.name for path in boards.glob("*") if path.is_dir())
    if _is_graded(around):
        return ("While nbgrader runs a notebook, its programs are not kept.",
                "open it yourself, as with `python3 lessons`.")  # fmt: skip
    if not _own_name(around):
        what = "Nothing here says which notebook this is, so its programs are not kept."
        if there:
            what += f" What was kept of notebooks lies in {BOARDS}: {', '.join(there)}."
        return what, "open the notebook with `python3 lessons`, which says it."
    if not boards.is_dir():
        return (f"This notebook's programs are not kept: there is no folder {BOARDS} beside it.",
                f"make a folder called {BOARDS} there, then restart the kernel.")  # fmt: skip
    return (f"This notebook's programs are not kept yet: {BOARDS} came after its kernel.",
            "restart the kernel.")  # fmt: skip


def _own_name(around: Mapping[str, str]) -> str:
    """Give the file name of the notebook that a kernel is for; "" where nothing tells it."""
    name = PurePosixPath(around.get(_SESSION, "")).name
    return name if name.endswith(".ipynb") else ""


def _is_graded(around: Mapping[str, str]) -> bool:
    return any(word.startswith("NBGRADER_") for word in around)


def ago(when: float, now: float | None = None) -> str:
    """Say in words how long ago something was, as people do."""
    then, today = datetime.fromtimestamp(when), datetime.fromtimestamp(now or time.time())
    seconds = (today - then).total_seconds()
    if seconds < 60:
        return "a moment ago"
    if seconds < 3600:
        return _some(int(seconds // 60), "minute")
    days = (today.date() - then.date()).days
    if days == 0:
        return _some(int(seconds // 3600), "hour")
    day = "yesterday" if days == 1 else f"on {then.day} {then:%B}"
    return f"{day} at {then:%H:%M}"


def _some(count: int, unit: str) -> str:
    return f"{count} {unit}{'' if count == 1 else 's'} ago"


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8", "backslashreplace")


def _source(cell: Mapping[str, Any]) -> str:
    """Give a cell's text: files hold it whole, or as a list of lines."""
    source = cell["source"]
    return source if isinstance(source, str) else "".join(source)
