"""One core: host and program stay on one core of the processor for a trial, where another is free.

They speak in turns and never both compute, and to wake the other one on another core costs more
than most of what they say: without it a trial takes a fifth longer.  Marking has a worker for each
core, and so never comes to it.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

__all__ = ["on_one_core"]

_PLACE = 36
"""Where proc(5)'s stat says on which core a thread is, counted behind its name."""


@contextmanager
def on_one_core(pid: int) -> Iterator[None]:
    """Keep this thread and a process on the core on which this thread is.

    Afterwards the thread may go where it might before; the process stays for as long as it lives.

    Args:
        pid: The process with which this thread speaks.
    """
    if sys.platform != "linux":
        yield
        return
    mine = os.sched_getaffinity(0)
    with suppress(OSError, ValueError, IndexError):
        # Where as much is at work as there are cores, whoever may not move has to wait.
        if os.getloadavg()[0] < len(mine) - 0.5 and len(mine) > 1:
            stat = Path("/proc/thread-self/stat").read_text(encoding="latin-1")
            here = {int(stat.rpartition(")")[2].split()[_PLACE])}
            os.sched_setaffinity(pid, here)
            os.sched_setaffinity(0, here)
    try:
        yield
    finally:
        with suppress(OSError):
            os.sched_setaffinity(0, mine)
