"""Cluster: the same marking over many machines, by Dask distributed.

Every machine runs `dask worker ADDRESS` in an environment with the kit.  What travels is a
learner's file or programs, without a name, and back come points and recordings.  A machine that
goes in the middle costs nothing: the scheduler gives its work to another, and the same program
gives the same result there.
"""

from __future__ import annotations

import asyncio
import logging
import re
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from contextlib import suppress
from typing import Any, TypeVar

from robotsim import KitError

from ..faults import HaltError
from .client import Result
from .far import check, look, read
from .requests import Request, kit_mark
from .store import Store

__all__ = ["ClusterPool"]

T = TypeVar("T")
_LOOK_S, _PATIENCE_S = 1.0, 4.0
"""How often to see whether the scheduler is still there, and how long to wait for its answer."""
_CUT_OFF, _SILENT = 3, 36
"""So often in a row cut off, or without an answer, and the scheduler counts as gone.  One that is
killed cuts off; one that is silent may only be busy: at its first work it loads the whole kit,
which takes long on a machine that has no time."""


class ClusterPool:
    """Has the work done by a Dask cluster.

    Args:
        address: The scheduler, such as tcp://host:8786.
        pictures: Whether to draw the trial in which a program lost most.
        unprotected: Whether machines on which programs cannot be kept in are to work as well.

    Raises:
        KitError: Dask is not installed, or nobody answers there.
    """

    def __init__(self, address: str, *, pictures: bool = True, unprotected: bool = False) -> None:
        try:
            import distributed
        except ImportError as fault:
            raise KitError(
                "Marking over a cluster needs Dask.", where=f"--cluster {address}",
                hint="in the kit's folder `pip install -e .[cluster]`, here and on every machine.",
            ) from fault  # fmt: skip
        if not re.fullmatch(r"(\w+://)?.+:\d+/?", address):
            raise KitError("This address has no port.", where=f"--cluster {address}",
                           hint="write it as `dask scheduler` prints it: tcp://HOST:8786.")
        try:
            kind: Any = distributed.Client  # it publishes types for a part of itself only
            self._client: Any = kind(address, timeout="10s", set_as_default=False)
        except (OSError, ValueError) as fault:
            raise KitError(
                f"No scheduler answers there: {fault}.", where=f"--cluster {address}",
                hint="start one with `dask scheduler`; it prints its address.",
            ) from fault  # fmt: skip
        self.pictures, self.unprotected = pictures, unprotected
        self.size = max(2, sum(self._client.nthreads().values()))
        self.protections: list[tuple[str, bool, str]] = []
        self._address, self._why = address, ""
        self._tried: set[Request] = set()
        # Losing its scheduler, Dask's client tells so for ever; here it is told once.
        for name in [*logging.root.manager.loggerDict]:
            if name.partition(".")[0] == "distributed":
                logging.getLogger(name).setLevel(logging.CRITICAL + 1)
        self._gone = threading.Event()
        self._watch = threading.Thread(target=self._look, name="scheduler", daemon=True)
        self._watch.start()
        # These threads only wait for others.
        self._threads = ThreadPoolExecutor(3 * self.size, "cluster")

    def look(self) -> list[tuple[str, bool, str]]:
        """Give what programs are kept from on one of the machines; each looks for itself."""
        self._far(look)
        return self.protections

    def submit(self, call: Callable[..., T], *arguments: Any) -> Future[T]:
        """Call something in a thread that may wait."""
        return self._threads.submit(call, *arguments)

    def notebook(
        self, store: Store, data: bytes, handed_out: bytes, lesson: str
    ) -> tuple[dict[str, Any], bytes]:
        """Bring a learner's file in order, somewhere."""
        found = store.notebook(data, handed_out, lesson)
        if found is None:
            head, parts = self._far(read, data, handed_out, lesson)
            found = store.keep_notebook(data, handed_out, lesson, head, parts)
        return found

    def results(self, store: Store, asked: Mapping[Request, str]) -> dict[Request, str]:
        """Have the checks run that nobody has run yet, all of a submission in one go."""
        known = {request: store.result(request) for request in asked}
        wanted = [
            (tuple(request), asked[request]) for request, result in known.items()
            if result is None or ("fault" in result.about and request not in self._tried)
        ]  # fmt: skip
        if wanted:
            for request, result, picture in self._far(check, wanted, self.pictures):
                if "fault" in Result(*result).about:
                    self._tried.add(Request(*request))
                store.keep(Request(*request), Result(*result))
                if picture is not None:
                    store.keep_picture(Request(*request), *picture)
        found = {request: store.result(request) for request in asked}
        return {r: f.about["fault"][0] for r, f in found.items() if f and "fault" in f.about}

    def __enter__(self) -> ClusterPool:
        """Give the pool itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Leave the cluster; it stays as it is."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        lost = self._gone.is_set()
        self._gone.set()
        with suppress(Exception):
            self._client.close(timeout=0.5 if lost else 10)
        self._threads.shutdown()

    def _look(self) -> None:
        """See from time to time whether the scheduler is there; if not, let everybody know."""
        misses = 0
        while not self._gone.wait(_LOOK_S):
            misses = 0 if self._answers() else misses + 1
            cut_off = self._client.status != "running"
            if misses >= (_CUT_OFF if cut_off else _SILENT):
                self._why = "the connection is cut off" if cut_off else "it does not answer"
                self._gone.set()

    def _answers(self) -> bool:
        if self._client.status != "running":
            return False
        try:
            self._client.sync(self._client.scheduler.identity, callback_timeout=_PATIENCE_S)
        except Exception:
            return False
        return True

    def _far(self, call: Callable[..., Any], *arguments: Any) -> Any:
        """Call something on one of the machines.

        Raises:
            KitError: It told of trouble, or every machine that tried it went.
            HaltError: The scheduler itself is gone, or a machine has another kit.
        """
        future = self._client.submit(call, self.unprotected, *arguments, pure=False, retries=3)
        try:
            kit, protections, value = self._wait_for(future)
        except KitError:
            raise
        except (CancelledError, asyncio.CancelledError) as fault:
            # Nobody here does: it has lost the work, or could not read what was asked of it.
            self._why = " ".join(f"it has given work up: {fault}".split())[:200]
            raise self._lost() from fault
        except Exception as fault:
            raise KitError(f"The cluster could not do this: {type(fault).__name__}: {fault}",
                           hint="mark once more: what is done stays done.") from fault  # fmt: skip
        if kit != kit_mark():
            raise HaltError("A machine of the cluster has another version of the kit.",
                            hint="install the same on all of them.")  # fmt: skip
        self.protections = protections
        return value

    def _wait_for(self, future: Any) -> Any:
        """Wait for as long as the scheduler is there."""
        done = threading.Event()
        future.add_done_callback(lambda _: done.set())
        while not done.wait(_LOOK_S / 4):
            if self._gone.is_set():
                raise self._lost()
        return future.result(timeout=_PATIENCE_S)

    def _lost(self) -> HaltError:
        self._gone.set()
        return HaltError(
            f"The cluster's scheduler is gone ({self._why}), and the work under way with it.",
            where=f"--cluster {self._address}",
            hint="start it again and give the same command: what is done stays done.",
        )  # fmt: skip
