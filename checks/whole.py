"""Whole: a file is written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Iterator
from pathlib import Path

__all__ = ["whole_file", "write_whole"]


@contextlib.contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a file to write into that takes the other's place when all is well, and else goes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    try:
        yield part
        os.replace(part, path)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise


def write_whole(path: Path, data: bytes) -> None:
    """Write a file whole or not at all."""
    with whole_file(path) as part:
        part.write_bytes(data)
