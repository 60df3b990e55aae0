"""Kept: files that are written whole or not at all, and those whose place they take."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterator
from pathlib import Path

__all__ = ["put", "whole_file"]


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a file to write into, which takes the other's place when all is well, and else goes."""
    part = path.parent / f".{path.name}.part"
    try:
        yield part
        part.replace(path)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def put(path: Path, text: str) -> Path | None:
    """Write a file, whole or not at all; what was there before is kept under the first free name.

    Returns:
        Under which name; None if nothing was there.

    Raises:
        OSError: It cannot be written; what was there is there still.
    """
    if path.is_dir():  # which is nothing that a file may take the place of
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    with whole_file(path) as part:
        part.write_text(text, encoding="utf-8", newline="\n")
        if old := _free(path):
            path.rename(old)
    return old


def _free(path: Path) -> Path | None:
    """Give the first free name for what is there; None if nothing is."""
    if not path.exists():
        return None
    number = 1
    while (old := path.with_name(f"{path.stem}.{number}{path.suffix}")).exists():
        number += 1
    return old
