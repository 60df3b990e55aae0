"""Whole: a file is written whole or not at all."""

from __future__ import annotations

import contextlib
import itertools
import os
import re
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

__all__ = ["meant", "put_aside", "put_back", "whole_file", "write_whole"]


_OWNER_ALONE = 0o600
_PART = re.compile(r"\.(.+)\.\d+-\d+\.part")


@contextlib.contextmanager
def whole_file(path: Path, *, private: bool = False) -> Iterator[Path]:
    """Give a file to write into that takes the other's place when all is well, and else goes.

    Args:
        path: The file.
        private: Let nobody but its owner read it, where the system knows such a thing.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    try:
        if private:
            part.touch(_OWNER_ALONE)
        yield part
        os.replace(part, path)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise


def meant(path: Path) -> Path:
    """Give the file that a person knows, of one that is only just being written."""
    found = _PART.fullmatch(path.name)
    return path.with_name(found[1]) if found else path


def write_whole(path: Path, data: bytes, *, private: bool = False) -> None:
    """Write a file whole or not at all; see `whole_file`."""
    with whole_file(path, private=private) as part:
        part.write_bytes(data)


def put_aside(path: Path) -> Path:
    """Give a file that somebody has worked on a name of its own beside; give that."""
    names = (path.with_stem(f"{path.stem}-{number}") for number in itertools.count(1))
    kept = next(name for name in names if not name.exists())
    path.rename(kept)
    return kept


@contextlib.contextmanager
def put_back(folder: Path, spare: Path) -> Iterator[None]:
    """Let a folder be as it was, unless what is done within goes well.

    Where even this was broken off, by a kill, the folder comes back when it is asked for again.

    Args:
        folder: What may be changed or deleted within; it need not be there.
        spare: A place of its own for a copy, on the same disk.
    """
    if spare.is_dir():
        _take_place(spare, folder)
    if folder.is_dir():
        part = spare.with_name(f"{spare.name}.part")
        shutil.rmtree(part, ignore_errors=True)
        part.parent.mkdir(parents=True, exist_ok=True)
        shutil.copytree(folder, part)
        part.rename(spare)
    try:
        yield
    except BaseException:
        if spare.is_dir():
            _take_place(spare, folder)
        raise
    shutil.rmtree(spare, ignore_errors=True)


def _take_place(spare: Path, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    folder.parent.mkdir(parents=True, exist_ok=True)
    spare.rename(folder)
