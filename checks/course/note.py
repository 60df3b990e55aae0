"""Note: what a course folder remembers of what somebody has decided, in files that nobody loses."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from robotsim import KitError

from ..whole import write_whole

__all__ = ["read_note", "write_note"]

T = TypeVar("T")


def read_note(path: Path, read: Callable[[Any], T], none: T, what: str, without: str = "") -> T:
    """Read a note; `none` where there is no such file yet.

    Args:
        path: The file.
        read: Makes of what stands in it what is wanted; anything but that fails.
        none: What is told where nothing was noted.
        what: What it is, in words.
        without: What may be done instead of putting a copy in its place, if anything.

    Raises:
        KitError: It is damaged; nothing is written over it.
    """
    try:
        return read(json.loads(path.read_text(encoding="utf-8")))
    except FileNotFoundError:
        return none
    except (ValueError, TypeError, AttributeError, IndexError) as fault:
        raise KitError(f"{what} is damaged.", where=str(path),
                       hint=f"put a copy of it in its place{without and f', {without}'}.",
                       ) from fault  # fmt: skip


def write_note(path: Path, told: object) -> None:
    """Write a note, whole or not at all."""
    write_whole(path, json.dumps(told, indent=1).encode("utf-8"))
