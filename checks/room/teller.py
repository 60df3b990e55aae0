"""Teller: tells the room what a learner's own checks found, behind the notebook's back.

A check must not notice: no waiting, no output, no error.  What cannot be told now is told later;
of each task only its newest state.
"""

from __future__ import annotations

import atexit
import contextlib
import secrets
import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path

from ..scorecard import Scorecard
from .card import read_card
from .message import MOST_SECONDS, Tried, topic, write

__all__ = ["Teller", "forget", "tell"]

_REST_S = 1.0
"""Between two messages: whoever checks in a loop does not flood the broker."""
_AGAIN_S = (1.0, 30.0)
_PATIENCE_S = 3.0
"""For one try; there is another one later."""
_LAST_S = 0.9
"""What the end of the interpreter may take for a last message."""


@dataclass(frozen=True)
class _Tally:
    """How a task stands: best points, tries, the time of the first one, and the last cause."""

    points: float
    tries: int
    first: float
    cause: str | None


class Teller:
    """Counts a kernel's checks, and tells them from a thread of its own."""

    def __init__(self) -> None:
        self.run = secrets.token_hex(4)
        self._tallies: dict[str, _Tally] = {}
        self._unsent: set[str] = set()
        self._folder = Path.cwd()
        self._guard, self._sending = threading.Lock(), threading.Lock()
        self._news, self._ending = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._work, name="room", daemon=True)
        self._thread.start()

    def tell(self, card: Scorecard) -> None:
        """Note a check's outcome; it is sent when it can be."""
        cause = None if card.full or card.cause is None else card.cause.name
        with self._guard:
            self._folder = Path.cwd()
            before = self._tallies.get(card.task.id, _Tally(0.0, 0, time.monotonic(), None))
            self._tallies[card.task.id] = replace(
                before, points=max(before.points, card.points), tries=before.tries + 1, cause=cause
            )
            self._unsent.add(card.task.id)
        self._news.set()

    def forget(self) -> None:
        """Send nothing more of what was noted until now; waits until nothing is on its way."""
        with self._sending, self._guard:
            self.run = secrets.token_hex(4)
            self._unsent.clear()
            self._tallies.clear()

    def end(self) -> None:
        """Get the last message out, if that takes less than a second."""
        self._ending.set()
        self._news.set()
        self._thread.join(_LAST_S + 0.1)

    def _work(self) -> None:
        pause = 0.0
        while True:
            self._news.wait(pause or None)
            self._news.clear()
            if self._unsent:
                told = self._send(_LAST_S if self._ending.is_set() else _PATIENCE_S)
                pause = 0.0 if told else min(max(_AGAIN_S[0], 2 * pause), _AGAIN_S[1])
            if self._ending.wait(_REST_S) and (pause or not self._unsent):
                return

    def _send(self, patience_s: float) -> bool:
        with self._sending, contextlib.suppress(Exception):  # nothing may reach the notebook
            with self._guard:
                tallies = {task: self._tallies[task] for task in self._unsent}
                folder = self._folder
            # Read again each time: whoever has left meanwhile is not told of.
            card = read_card(folder)
            if card is not None and card.holds:
                card.tell({
                    topic(card.key, task): write(Tried(
                        card.alias, card.day, task, tally.points, tally.tries,
                        min(round(time.monotonic() - tally.first), MOST_SECONDS), tally.cause,
                        self.run,
                    )) for task, tally in tallies.items()
                }, patience_s)  # fmt: skip
            with self._guard:
                self._unsent -= {t for t, told in tallies.items() if self._tallies.get(t) == told}
            return True
        return False


_own: Teller | None = None


def tell(card: Scorecard) -> None:
    """Tell the room of a check; the first one starts what tells."""
    global _own
    found = read_card()
    if found is None or not found.holds:
        return
    if _own is None:
        _own = Teller()
        atexit.register(_own.end)
    _own.tell(card)


def forget() -> None:
    """Send nothing more of what was noted until now."""
    if _own is not None:
        _own.forget()
