"""Agenda: what is to happen at which simulated time.  Nothing costs anything until it is due."""

from __future__ import annotations

import heapq
from collections.abc import Callable

__all__ = ["Agenda"]


class Agenda:
    """Things to do, each at its time; those of one time in the order in which they were noted."""

    def __init__(self) -> None:
        self.now_ns = 0
        self._due: list[tuple[int, int, Callable[[], None]]] = []
        self._noted = 0

    def at(self, time_ns: int, do: Callable[[], None]) -> None:
        """Note something to do at a time; what lies in the past is done next."""
        self._noted += 1
        heapq.heappush(self._due, (max(time_ns, self.now_ns), self._noted, do))

    def after(self, delay_ns: int, do: Callable[[], None]) -> Callable[[], None]:
        """Note something to do after a while; here nothing can be called off."""
        self.at(self.now_ns + delay_ns, do)
        return _too_late

    @property
    def next_ns(self) -> int | None:
        """When the next thing is due, None if there is none."""
        return self._due[0][0] if self._due else None

    def advance(self, time_ns: int) -> None:
        """Do all that is due up to a time, in order."""
        while self._due and self._due[0][0] <= time_ns:
            due_ns, _, do = heapq.heappop(self._due)
            self.now_ns = due_ns
            do()
        self.now_ns = max(self.now_ns, time_ns)


def _too_late() -> None:
    """Call nothing off: a trial ends soon, and who is reminded in vain does nothing."""
