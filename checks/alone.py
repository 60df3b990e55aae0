"""Alone: what no two processes may do at once, held in a way that ends with its holder."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from robotsim import KitError

__all__ = ["alone"]


@contextmanager
def alone(lock: Path, taken: Callable[[], KitError]) -> Iterator[None]:
    """Hold a lock; let go whatever ends this process, since the system does that.

    Args:
        lock: The file that is locked; SQLite's locks are the same on every system.
        taken: Gives what is raised where another process holds it.
    """
    lock.parent.mkdir(exist_ok=True)
    held = sqlite3.connect(lock, timeout=0.5, isolation_level=None)
    try:
        try:
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as fault:
            if fault.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            raise taken() from fault
        yield
    finally:
        held.close()
