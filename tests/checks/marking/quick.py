"""A pool that judges at once, without a board, so that a test of marking costs nbgrader's part."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from typing import Any

from checks import TASKS
from checks.marking.client import Result
from checks.marking.pool import failed
from checks.marking.repair import repair
from checks.marking.requests import Request
from checks.marking.store import Store
from robotsim import KitError

Trouble = Callable[[Request], None]


def nothing(request: Request) -> None:
    """Trouble that is none."""


class QuickPool:
    """Gives each check as many points as its program has lines, at most all.

    Args:
        trouble: Is called before each check, and may raise: a `KitError` as from a check that could
            not be run, anything else as from what runs it.
    """

    size = 1
    protections: list[tuple[str, bool, str]] = []

    def __init__(self, trouble: Trouble = nothing) -> None:
        self.trouble = trouble
        self.ran: list[Request] = []

    def look(self) -> list[tuple[str, bool, str]]:
        return self.protections

    def submit(self, call: Callable[..., Any], *arguments: Any) -> Future[Any]:
        future: Future[Any] = Future()
        try:
            future.set_result(call(*arguments))
        except BaseException as fault:
            future.set_exception(fault)
        return future

    def notebook(
        self, store: Store, data: bytes, handed_out: bytes, lesson: str
    ) -> tuple[dict[str, Any], bytes]:
        done = repair(data, handed_out, lesson)
        head = {"notes": done.notes, "seen": done.seen, "tug": done.tug}
        return store.keep_notebook(data, handed_out, lesson, head,
                                   [json.dumps(done.notebook).encode()])  # fmt: skip

    def results(self, store: Store, asked: Mapping[Request, str]) -> dict[Request, str]:
        faults = {}
        for request in asked:
            known = store.result(request)
            if known is not None and "fault" not in known.about:
                continue
            self.ran.append(request)
            try:
                self.trouble(request)
                store.keep(request, judged(request))
            except KitError as fault:
                store.keep(request, failed(fault))
                faults[request] = fault.what
        return faults

    def __enter__(self) -> QuickPool:
        return self

    def __exit__(self, *_: object) -> None:
        pass


def judged(request: Request) -> Result:
    task = TASKS[request.task]
    points = min(request.files.count("\\n"), task.points)
    about = {"task": task.id, "title": task.title, "points": str(points), "most": task.points,
             "card": "<p>card</p>", "rows": [], "cause": None, "problem": None,
             "trials": []}  # fmt: skip
    return Result(about, [])
