"""Kernel: what a learner's kernel knows from its start, before any cell has run.

`python3 lessons` puts the specification in `checks/jupyter/kernels/python3` before the plain one,
so the notebooks need no other name in them: wherever else they are opened, marked or tested,
they run under a plain Python kernel with their first cell.
What fails here leaves such a plain kernel.
"""

from __future__ import annotations

import ctypes
import gc
from collections.abc import Callable
from typing import Any

__all__ = ["giver_back", "load_ipython_extension"]


def load_ipython_extension(shell: Any) -> None:
    """Give a shell the kit's words; the magic comes with the import of `robotsim.notebook`."""
    from robotsim import back, earlier, export, ready, replay, run, take

    from .judge import check

    tools = (back, check, earlier, export, ready, replay, run, take)
    shell.push({tool.__name__: tool for tool in tools}, interactive=False)
    if give_back := giver_back():
        shell.events.register("post_run_cell", give_back)


def giver_back() -> Callable[..., None] | None:
    """Give what returns memory that is no longer needed to the system; None where none can.

    Pictures leave rings of objects, and room that the C library keeps: by the end of a lesson a
    third of a kernel's memory, and a tenth of its server's.
    """
    try:
        trim = ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):  # not glibc: it has its own way
        return None
    gc.freeze()  # what is loaded by now stays, and need not be looked through again

    def give_back(*_: Any) -> None:
        gc.collect()
        trim(0)

    return give_back
