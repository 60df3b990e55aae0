"""Arrived: everything in a folder of downloads or in an archive, each file told in one way.

Archives are gone through in memory: nothing of one is ever laid on the disk by its own path.  What
is no notebook, what cannot be read and what is too much is told, never passed over in silence.
"""

from __future__ import annotations

import io
import os
import stat
import zipfile
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath

from ..faults import halting
from .content import has_cells
from .owner import is_archive, is_notebook
from .written import is_lock

__all__ = ["MOST_BYTES", "Arrival", "Left", "arrivals", "beside"]

Parts = tuple[str, ...]

MOST_BYTES = 64 * 1024 * 1024
"""No larger file is taken: marking reads none (`opened.MOST_BYTES`)."""
MOST_FILES = 20_000
"""Of one archive, those inside it included."""
_ROOM, _TIMES = 64 * 1024 * 1024, 40
"""One archive may hold so many bytes, and so many times its own size more.  Our lessons' notebooks,
with their pictures, are packed to a third to a tenth."""
_DEEPEST = 3
_SYSTEM = ("__MACOSX", ".DS_Store", "Thumbs.db", "desktop.ini", ".ipynb_checkpoints",
           "timestamp.txt", "submission_secret.txt")  # fmt: skip
_CARD = "tug.json"
_BINS = ("$recycle.bin", "trash", "lost+found", "system volume information", "__pycache__",
         "node_modules")  # fmt: skip
"""Folders in which nobody works; so are all whose names begin with a dot."""

_NOTE = "a note that a computer adds by itself"
_HIDDEN = "a hidden folder, or a bin"
_NUMBER = "the card with the number of the learner's tug; marking goes by the roster's"
_BY_ITSELF = (_NOTE, _HIDDEN, _NUMBER)


@dataclass(frozen=True)
class Arrival:
    """A notebook that arrived.

    Attributes:
        parts: Its path in the download, from the outside in.
        files: The places in it of files: archives on the way, and the notebook itself.
        times: For each of these files the time that its folder or archive tells, or None.
        data: What it holds.
    """

    parts: Parts
    files: tuple[int, ...]
    times: tuple[datetime | None, ...]
    data: bytes

    @property
    def name(self) -> str:
        """Its path as one text."""
        return "/".join(self.parts)


@dataclass(frozen=True)
class Left:
    """A file that was not taken, and why; and whether a computer has added it by itself."""

    name: str
    why: str
    by_itself: bool = False


Enter = Callable[[Parts, tuple[int, ...]], str]
"""Says why an archive is not to be gone through, "" if it is."""


def arrivals(place: Path, enter: Enter) -> Iterator[Arrival | Left]:
    """Go through a folder or archive, and through the archives in it.

    Args:
        place: The folder or the archive; its own name tells nothing.
        enter: Asked at each archive.
    """
    if place.is_file() and is_archive(place.name):
        budget = _Budget(place.stat().st_size)
        yield from _unpacked((), (), (_changed(place),), place, budget, enter, place.name)
        return
    for found in _files(place):
        if isinstance(found, Left):
            yield found
            continue
        parts = found.relative_to(place).parts if found != place else (found.name,)
        yield from _from_disk(found, parts, enter)


def beside(place: Path) -> dict[Parts, list[str]]:
    """Give what lies in each folder, as the platform laid it out: archives in archives are not."""
    found: dict[Parts, list[str]] = defaultdict(list)
    names: list[Parts] = []
    if place.is_file():
        names += _entries(place)
    for path in _files(place) if place.is_dir() else ():
        if isinstance(path, Path):
            parts = path.relative_to(place).parts
            names.append(parts)
            names += [parts + inner for inner in (_entries(path) if is_archive(path.name) else ())]
    for parts in names:
        for level, part in enumerate(parts):
            if part not in _SYSTEM:
                found[parts[:level]].append(part)
    return {folder: list(dict.fromkeys(own)) for folder, own in found.items()}


class _Budget:
    """What may still be unpacked of one archive."""

    def __init__(self, weight: int) -> None:
        self.bytes, self.files = _ROOM + _TIMES * weight, MOST_FILES


def _files(place: Path) -> Iterator[Path | Left]:
    """Give the plain files of a folder, and tell of everything else in it."""
    if not place.is_dir():
        yield place
        return
    lost: list[OSError] = []
    for folder, folders, names in os.walk(place, onerror=lost.append):
        folders.sort()
        for name in [name for name in folders if _is_hidden(name)]:
            folders.remove(name)
            yield Left(Path(folder, name).relative_to(place).as_posix(), _HIDDEN, True)
        for name in sorted([*names, *folders]):
            path = Path(folder, name)
            try:
                kind = path.lstat().st_mode
            except OSError as fault:
                lost.append(fault)
                continue
            if stat.S_ISREG(kind):
                yield path
            elif not stat.S_ISDIR(kind):
                what = "a link" if stat.S_ISLNK(kind) else "no plain file"
                yield Left(path.relative_to(place).as_posix(), f"it is {what}")
    for one in lost:
        yield Left(str(one.filename), f"it cannot be read ({one.strerror})")


def _entries(path: Path) -> list[Parts]:
    try:
        with zipfile.ZipFile(path) as archive:
            return [p for e in archive.infolist()[:MOST_FILES]
                    if (p := _parts(e.filename)) and not _is_folder(e)]  # fmt: skip
    except Exception:  # what is wrong with it is told when it is gone through
        return []


def _parts(name: str) -> Parts:
    """Give an entry's path as the path of a file here, wherever it would like to lead."""
    parts = PurePosixPath(name.replace("\\", "/")).parts
    return tuple(part for part in parts if part not in ("/", "..", "."))


def _from_disk(path: Path, parts: Parts, enter: Enter) -> Iterator[Arrival | Left]:
    name = "/".join(parts)
    files, times = (len(parts) - 1,), (_changed(path),)
    if why := _unwanted(parts):
        yield Left(name, why, why in _BY_ITSELF)
        return
    try:
        size = path.stat().st_size
        if is_archive(name):
            if not size:
                yield Left(name, "it is empty")
            elif why := enter(parts, files):
                yield Left(name, why)
            else:
                yield from _unpacked(parts, files, times, path, _Budget(size), enter)
        elif size > MOST_BYTES:
            yield Left(name, _large())
        else:
            yield _arrival(parts, files, times, path.read_bytes())
    except OSError as fault:
        yield Left(name, f"it cannot be read ({fault.strerror or fault})")


def _unpacked(
    outer: Parts, files: tuple[int, ...], times: tuple[datetime | None, ...],
    source: Path | io.BytesIO, budget: _Budget, enter: Enter, title: str = "",
) -> Iterator[Arrival | Left]:  # fmt: skip
    """Go through one archive.  Whatever is wrong with an entry costs that entry alone.

    What it is called is its path, or the title of the one that was named in the command.
    """
    title = title or "/".join(outer)
    try:
        archive = zipfile.ZipFile(source)
        entries = archive.infolist()
    except Exception as fault:  # zipfile lets through whatever its parts raise
        yield Left(title, f"the archive cannot be read ({_short(fault)})")
        return
    with archive:
        for number, entry in enumerate(entries):
            parts = outer + (_parts(entry.filename) or (repr(entry.filename),))
            if _is_folder(entry):
                continue
            if budget.files <= 0:
                rest = len(entries) - number
                yield Left(title, f"{rest} entries after the first {MOST_FILES}, from "
                                  f"{entry.filename} on, were not looked at")  # fmt: skip
                return
            budget.files -= 1
            where, told = (*files, len(parts) - 1), (*times, _entry_time(entry))
            why = _unwanted(parts[len(outer) :]) or _out_of_reach(entry, len(files))
            why = why or (enter(parts, where) if is_archive(entry.filename) else "")
            data = why or _content(archive, entry, budget)
            if isinstance(data, str):
                yield Left("/".join(parts), data, why in _BY_ITSELF)
            elif is_archive(entry.filename):
                yield from _unpacked(parts, where, told, io.BytesIO(data), budget, enter)
            else:
                yield _arrival(parts, where, told, data)


def _arrival(
    parts: Parts, files: tuple[int, ...], times: tuple[datetime | None, ...], data: bytes
) -> Arrival | Left:
    """Give a notebook that came; under another ending only what has a notebook's cells is one."""
    if parts[-1].lower().endswith(".ipynb") or has_cells(data):
        return Arrival(parts, files, times, data)
    return Left("/".join(parts), _other_kind(parts[-1]))


def _content(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, budget: _Budget) -> bytes | str:
    """Give what an entry holds, or why it is not taken; its own word on its size is not heeded."""
    most = min(MOST_BYTES, budget.bytes)
    try:
        with archive.open(entry) as stream:
            data = stream.read(most + 1)
    except Exception as fault:  # zlib, lzma and others each have their own kinds
        if halt := halting(fault):
            raise halt from fault
        return f"it cannot be unpacked ({_short(fault)})"
    budget.bytes -= len(data)
    if len(data) <= most:
        return data
    return _large() if most == MOST_BYTES else "the archive holds far more than it weighs"


def _is_folder(entry: zipfile.ZipInfo) -> bool:
    """Tell whether an entry is a folder; `is_dir` trips over one without a name."""
    return entry.filename.endswith("/")


def _is_hidden(folder: str) -> bool:
    return folder.startswith(".") or folder.lower() in _BINS


def _unwanted(parts: Parts) -> str:
    """Say why a file of this name is not wanted; "" if it is."""
    if is_lock(parts[-1]) or any(part in _SYSTEM or part.startswith("._") for part in parts):
        return _NOTE
    if parts[-1] == _CARD:
        return _NUMBER
    if any(map(_is_hidden, parts[:-1])):
        return _HIDDEN
    if is_notebook(parts[-1]) or is_archive(parts[-1]):
        return ""
    return _other_kind(parts[-1])


def _other_kind(name: str) -> str:
    kind = PurePosixPath(name).suffix
    more = ": if it is one, rename it to end in .ipynb" if ".ipynb" in name.lower() else ""
    return f"no notebook ({kind or 'no ending'}){more}"


def _out_of_reach(entry: zipfile.ZipInfo, depth: int) -> str:
    if stat.S_ISLNK(entry.external_attr >> 16):
        return "it is a link"
    if entry.flag_bits & 1:
        return "it is encrypted"
    if is_archive(entry.filename) and depth >= _DEEPEST:
        return "too deep an archive"
    return ""


def _entry_time(entry: zipfile.ZipInfo) -> datetime | None:
    """Give the time of an entry; the format's first year stands for one that is not known."""
    try:
        when = datetime(*entry.date_time).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return None
    return when if when.year > 1980 else None


def _changed(path: Path) -> datetime | None:
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except (OSError, OverflowError, ValueError):
        return None


def _large() -> str:
    return f"more than {MOST_BYTES >> 20} MB"


def _short(fault: BaseException) -> str:
    return " ".join(f"{type(fault).__name__}: {fault}".split())[:120]
