"""Pace: holds simulated time back to the clock on the wall."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from ..board.faults import TimeUp
from ..units import MS, SECOND

__all__ = ["Pace"]

_STEP_NS = 10 * MS
"""How often something may happen while the board waits."""
_LATE_NS = 250 * MS
"""By how much simulated time may be late and still catch up; what is more is given up."""


class Pace:
    """The clock on the wall for one run.

    Simulated time never runs ahead of it.  Where the computer was too slow or asleep, simulated
    time catches up by at most a quarter of a second, so that a tug never rushes.

    Args:
        tick: Called with the simulated time in ns that has been reached, about every 10 ms.
    """

    def __init__(self, tick: Callable[[int], None]) -> None:
        self._tick = tick
        self._origin_ns = time.monotonic_ns()
        self._told_ns = -_STEP_NS
        self._stop = threading.Event()
        self._free = False
        self.lost_ns = 0
        self.reached_ns = 0

    def stop(self) -> None:
        """Let the run end at the next moment; may be called from any thread."""
        self._stop.set()

    @property
    def stopped(self) -> bool:
        """Whether the run is to end."""
        return self._stop.is_set()

    def let_go(self) -> None:
        """Hold nothing back any more: the run is over, what is left is tidying up."""
        self._free = True

    def hold(self, now_ns: int) -> None:
        """Wait until the clock on the wall shows a simulated time.

        Raises:
            TimeUp: The run is to end.
        """
        while not self._free:
            if self._stop.is_set():
                raise TimeUp
            ahead_ns = now_ns - (time.monotonic_ns() - self._origin_ns)
            self._reach(now_ns - max(ahead_ns, 0))
            if ahead_ns <= 0:
                self._give_up(-ahead_ns - _LATE_NS)
                return
            self._stop.wait(min(ahead_ns, _STEP_NS) / SECOND)

    def _reach(self, time_ns: int) -> None:
        self.reached_ns = max(self.reached_ns, time_ns)
        if time_ns >= self._told_ns + _STEP_NS:
            self._told_ns = time_ns
            self._tick(time_ns)

    def _give_up(self, late_ns: int) -> None:
        if late_ns > 0:
            self._origin_ns += late_ns
            self.lost_ns += late_ns
