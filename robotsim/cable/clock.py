"""Clock: the time on the wall, as the plugged tug's board sees it."""

from __future__ import annotations

import time

from ..units import MS

__all__ = ["Clock"]

_LATE_NS = 250 * MS
"""By how much the tug may be late and still catch up, as in `live`; what is more is given up."""


class Clock:
    """Nanoseconds since the tug was plugged in.

    Where the computer was too slow or asleep, the rest is given up: a tug never rushes.
    """

    def __init__(self) -> None:
        self._origin_ns = time.monotonic_ns()

    @property
    def now_ns(self) -> int:
        """The present."""
        return time.monotonic_ns() - self._origin_ns

    def give_up(self, reached_ns: int) -> None:
        """Take note how far the tug has come; more than a quarter of a second is forgotten."""
        self._origin_ns += max(self.now_ns - reached_ns - _LATE_NS, 0)
