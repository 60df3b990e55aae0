"""Spent: the processor's time of a process and of the programs that it has run."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

__all__ = ["forked", "spent"]


def forked(host: int) -> float:
    """Give the time in s of a process's nursery and of all that it has forked: who ends after its
    host, or is waited for by another, is told in nobody's account."""
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            words = path.read_text(encoding="latin-1").rpartition(")")[2].split()
            command = path.with_name("cmdline").read_bytes()
            if int(words[1]) == host and b"boot_nursery" in command:
                return sum(map(int, words[11:15])) / os.sysconf("SC_CLK_TCK")
    return 0.0


def spent() -> tuple[float, float]:
    """Give the time in s of this process, and of those that it has ended and of its nursery."""
    now = os.times()
    return now.user + now.system, now.children_user + now.children_system + forked(os.getpid())
