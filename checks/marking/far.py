"""Far: what runs on the machines of a cluster.

The scheduler loads this module too, to read what is asked, and answers nobody meanwhile; so it
loads little, and nothing of nbgrader.
"""

from __future__ import annotations

import threading
from typing import Any

from robotsim import KitError

from .client import Worker
from .requests import Request, kit_mark

__all__ = ["check", "read"]

_mine = threading.local()


def read(data: bytes, handed_out: bytes, lesson: str) -> Any:
    """Bring a learner's file in order: the kit's mark, the protections, and what came of it."""
    worker = _worker()
    return kit_mark(), worker.protections, worker.read(data, handed_out, lesson)


def check(wanted: list[tuple[Any, str]], pictures: bool) -> Any:
    """Run checks; give each with its result, and with a picture where something was lost."""
    from .crew import failed
    from .evidence import lost_trial, unlike

    worker = _worker()
    found: list[Any] = []
    for plain, seen in wanted:
        request = Request(*plain)
        try:
            result = worker.check(request)
            trial = lost_trial(result) if pictures else None
            drawn = None
            if trial is not None:
                drawn = trial, worker.draw(request.task, result.recordings[trial])
            found.append((plain, tuple(result), drawn))
            for other in unlike(request, result, seen):
                found.append((tuple(other), tuple(worker.check(other)), None))
        except KitError as fault:
            found.append((plain, tuple(failed(fault)), None))
    return kit_mark(), worker.protections, found


def _worker() -> Worker:
    worker: Worker | None = getattr(_mine, "worker", None)
    if worker is None:
        worker = _mine.worker = Worker()
    worker.start()
    return worker
