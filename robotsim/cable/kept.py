"""Kept: files that take another one's place, which is kept beside them."""

from __future__ import annotations

from pathlib import Path

__all__ = ["put"]


def put(path: Path, text: str) -> Path | None:
    """Write a file, whole or not at all; what was there before is kept under the first free name.

    Returns:
        Under which name; None if nothing was there.

    Raises:
        OSError: It cannot be written; what was there is there still.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        part.write_text(text, encoding="utf-8", newline="\n")
        old = _free(path)
        if old:
            path.rename(old)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return old


def _free(path: Path) -> Path | None:
    """Give the first free name for what is there; None if nothing is."""
    if not path.exists():
        return None
    number = 1
    while (old := path.with_name(f"{path.stem}.{number}{path.suffix}")).exists():
        number += 1
    return old
