"""Pipes: streams of bytes between the tug and the broker, in simulated time."""

from __future__ import annotations

from collections.abc import Callable

from ..units import MS, SECOND
from .agenda import Agenda

__all__ = ["RESEND_NS", "Way"]

RESEND_NS = 250 * MS
"""When what was not acknowledged first goes out again; then after twice as long, and so on
(TCP's habit, RFC 6298; the figure is invented, between the RFC's 1 s and a local network's)."""
_LONGEST_NS = 8 * SECOND
_GIVE_UP_NS = 60 * SECOND
"""When a connection that nothing passes is given up (invented; systems take 20 s to 15 min)."""


class Way:
    """One direction of a connection: bytes come in order, and none is lost or comes twice.

    *Model*: TCP as its users see it.  What is lost on the way shows as delay: it goes out again
    after a while, and all that was put in behind it waits and comes along.

    Args:
        agenda: The clock.
        passes: Tells whether a sending gets through now.
        travel: Gives how long it takes, in ns.
        arrive: Told what arrives: bytes, and whether the stream ends with them.
        give_up: Told when the connection is given up.
    """

    def __init__(
        self, agenda: Agenda, passes: Callable[[], bool], travel: Callable[[], int],
        arrive: Callable[[bytes, bool], None], give_up: Callable[[], None],
    ) -> None:  # fmt: skip
        self.agenda, self._passes, self._travel = agenda, passes, travel
        self._arrive, self._give_up = arrive, give_up
        self._data = bytearray()
        self._end = self._trying = self._cut = False
        self._wait_ns = self._begun_ns = self._last_ns = 0

    def push(self, data: bytes, end: bool = False) -> None:
        """Send bytes, and say whether they are the last."""
        if self._end or self._cut:
            return
        self._data += data
        self._end = end
        if not self._trying:
            self._trying = True
            self._wait_ns, self._begun_ns = RESEND_NS, self.agenda.now_ns
            self._try()

    def cut(self) -> None:
        """Let nothing more arrive."""
        self._cut = True

    def _try(self) -> None:
        if self._cut:
            return
        if self._passes():
            data, end = bytes(self._data), self._end
            self._data.clear()
            self._trying = False
            self._last_ns = max(self.agenda.now_ns + self._travel(), self._last_ns)
            self.agenda.at(self._last_ns, lambda: None if self._cut else self._arrive(data, end))
        elif self.agenda.now_ns - self._begun_ns >= _GIVE_UP_NS:
            self._give_up()
        else:
            self.agenda.after(self._wait_ns, self._try)
            self._wait_ns = min(2 * self._wait_ns, _LONGEST_NS)
