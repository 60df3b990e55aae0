"""Pool: who does the reading and checking; here, workers on this machine."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any, Protocol, TypeVar

from robotsim import KitError

from ..faults import HaltError
from .client import Result, Worker
from .evidence import lost_trial, unlike
from .requests import Request
from .store import Store

__all__ = ["LocalPool", "Pool", "check_all", "failed"]

T = TypeVar("T")


class Pool(Protocol):
    """What marking asks of whoever does the work."""

    size: int
    protections: list[tuple[str, bool, str]]

    def look(self) -> list[tuple[str, bool, str]]:
        """Give what programs are kept from where they will be run, before any is.

        Raises:
            KitError: They cannot be kept in there.
        """

    def submit(self, call: Callable[..., T], *arguments: Any) -> Future[T]:
        """Call something in a thread, soon."""

    def notebook(
        self, store: Store, data: bytes, handed_out: bytes, lesson: str
    ) -> tuple[dict[str, Any], bytes]:
        """Bring a learner's file in order."""

    def results(self, store: Store, asked: Mapping[Request, str]) -> dict[Request, str]:
        """See to it that the results of all requests are in the store; give what went wrong.

        A request comes with the points that the learner's own file shows, "" for none.  One that
        could not be run before is tried again, once by each pool.
        """

    def __enter__(self) -> Pool:
        """Begin."""

    def __exit__(self, *_: object) -> None:
        """End all workers."""


class LocalPool:
    """A worker for each core, each with a thread that waits for it.

    Args:
        size: How many; None for as many as there are cores.
        pictures: Whether to draw the trial in which a program lost most.
        unprotected: Whether to work also where programs cannot be kept in.
        without: Layers of protection to leave out, to see what the others hold.
    """

    def __init__(
        self, size: int | None = None, *, pictures: bool = True, unprotected: bool = False,
        without: Sequence[str] = (),
    ) -> None:  # fmt: skip
        self._settings: dict[str, Any] = {"unprotected": unprotected, "without": without}
        self.size = size or os.cpu_count() or 1
        self.pictures = pictures
        self.protections: list[tuple[str, bool, str]] = []
        self._tried: set[Request] = set()
        self._mine = threading.local()
        self._workers: list[Worker] = []
        self._lock = threading.Lock()
        self._threads = ThreadPoolExecutor(self.size, "marking")

    def look(self) -> list[tuple[str, bool, str]]:
        """Give what programs are kept from on this machine."""
        return self.submit(self._worker).result().protections

    def submit(self, call: Callable[..., T], *arguments: Any) -> Future[T]:
        """Call something in a thread that has a worker."""
        return self._threads.submit(call, *arguments)

    def notebook(
        self, store: Store, data: bytes, handed_out: bytes, lesson: str
    ) -> tuple[dict[str, Any], bytes]:
        """Bring a learner's file in order."""
        found = store.notebook(data, handed_out, lesson, self._worker())
        assert found is not None
        return found

    def results(self, store: Store, asked: Mapping[Request, str]) -> dict[Request, str]:
        """Have checks run whose results are not in the store yet."""
        return check_all(self._worker(), store, asked, self._tried, pictures=self.pictures)

    def __enter__(self) -> LocalPool:
        """Give the pool itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End all workers; what waits is not begun."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        for worker in self._workers:
            worker.stop()
        self._threads.shutdown()

    def _worker(self) -> Worker:
        worker: Worker | None = getattr(self._mine, "worker", None)
        if worker is None:
            worker = self._mine.worker = Worker(**self._settings)
            with self._lock:
                self._workers.append(worker)
        worker.start()
        self.protections = worker.protections
        return worker


def check_all(
    worker: Worker, store: Store, asked: Mapping[Request, str], tried: set[Request], *,
    pictures: bool,
) -> dict[Request, str]:  # fmt: skip
    """Run checks, and draw what was lost; give the words of those that could not be run.

    Args:
        worker: Who runs them.
        store: Where results are, and where they go.
        asked: See `Pool.results`.
        tried: What could not be run this time: no neighbour's copy of it is waited for again.
        pictures: Whether to draw.
    """
    faults: dict[Request, str] = {}
    for request, seen in asked.items():
        try:
            result = store.result(request, worker, again=request not in tried)
        except KitError as fault:
            tried.add(request)
            store.keep(request, failed(fault))
            result = store.result(request)
        assert result is not None
        if "fault" in result.about:
            faults[request] = result.about["fault"][0]
            continue
        for other in unlike(request, result, seen):
            with contextlib.suppress(KitError):
                store.result(other, worker)
        trial = lost_trial(result) if pictures else None
        if trial is not None:
            with contextlib.suppress(KitError):  # a score stands without its picture
                store.picture(request, trial, worker)
    return faults


def failed(fault: KitError) -> Result:
    """Give what is kept of a check that could not be run; what ends the command is never kept."""
    if isinstance(fault, HaltError):
        raise fault
    about = {"fault": [fault.what, fault.where, fault.hint], "points": "0", "most": 0.0}
    return Result(about, [])
