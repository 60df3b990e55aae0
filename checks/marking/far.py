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

__all__ = ["check", "look", "read"]

_mine = threading.local()


def look(unprotected: bool) -> Any:
    """See what programs are kept in by here: the kit's mark, the protections, and nothing more."""
    return kit_mark(), _worker(unprotected).protections, None


def read(unprotected: bool, data: bytes, handed_out: bytes, lesson: str) -> Any:
    """Bring a learner's file in order: the kit's mark, the protections, and what came of it."""
    worker = _worker(unprotected)
    return kit_mark(), worker.protections, worker.read(data, handed_out, lesson)


def check(unprotected: bool, wanted: list[tuple[Any, str]], pictures: bool) -> Any:
    """Run checks; give each with its result, and with a picture where something was lost."""
    from .evidence import lost_trial, unlike
    from .pool import failed

    worker = _worker(unprotected)
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


def _worker(unprotected: bool) -> Worker:
    workers: dict[bool, Worker] = vars(_mine).setdefault("workers", {})
    worker = workers.setdefault(unprotected, Worker(unprotected=unprotected))
    worker.start()
    return worker
