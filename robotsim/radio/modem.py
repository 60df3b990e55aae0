"""Modem: when a station's radio hears, sends and naps, what that holds back, and what it draws."""

from __future__ import annotations

import random
from bisect import insort
from typing import NamedTuple

from ..core import mypyc_attr
from ..units import MS

__all__ = [
    "BEACON_NS",
    "HEARING_A",
    "LISTEN_BEACONS",
    "PM_NONE",
    "PM_PERFORMANCE",
    "PM_POWERSAVE",
    "SENDING_A",
    "Modem",
]

PM_NONE, PM_PERFORMANCE, PM_POWERSAVE = range(3)
"""The board's numbers for how the radio saves power."""
BEACON_NS = 102_400_000
"""From one beacon of a network to the next: 100 units of 1.024 ms (IEEE 802.11, from memory)."""
LISTEN_BEACONS = {PM_PERFORMANCE: 1, PM_POWERSAVE: 3}
"""Each so many beacons a napping station wakes (maker's low-power guide, read)."""
HEARING_A, SENDING_A = 0.10, 0.24
"""What the radio draws while it hears and while it sends, in A (the maker's data sheet: 95 to 100
mA, and 240 mA at 802.11b's full power, from memory)."""
_HEARS_NS, _SENDS_NS = 3 * MS, 1 * MS
"""How long it hears a beacon and sends a frame (invented)."""
_STAYS_NS = 50 * MS
"""For how long it stays awake after it has sent or heard something for itself (invented)."""
_SWITCHED_ON_NS = 8 * MS
"""How long the radio tunes itself at full power when it is switched on (invented)."""


class _Span(NamedTuple):
    """From when on (ns) the modem is as it is: it naps for so many beacons, or -1: it is off."""

    since: int
    naps: int


@mypyc_attr(allow_interpreted_subclasses=True)
class Modem:
    """The radio of one station.

    *Model*: while it naps between beacons, the network keeps what is for it until the next beacon
    that it hears; what it has to send it sends at once, and then stays awake for a while.  Without
    power saving, and while it looks for a network, it hears all the time.  Its history is kept for
    as long as nobody has asked what it drew, so that it does not matter when that is.
    *Source*: modem sleep and listen intervals, the maker's low-power guide for Wi-Fi (read);
    currents and times as beside them.

    Args:
        chance: What the beacons' phase is drawn from.
    """

    def __init__(self, chance: random.Random) -> None:
        self.saving = PM_PERFORMANCE
        self._phase = int(chance.random() * BEACON_NS)
        self._spans = [_Span(0, -1)]
        self._sends: list[tuple[int, int]] = []  # in order
        self._on = self._joined = False

    # -- what it is told -------------------------------------------------------

    def switch(self, on: bool, now_ns: int) -> None:
        """Switch the radio on or off."""
        if on and not self._on:
            insort(self._sends, (now_ns, now_ns + _SWITCHED_ON_NS))
        self._on = on
        self._joined = self._joined and on
        self._from(now_ns)

    def join(self, joined: bool, now_ns: int) -> None:
        """Take note that a network has been joined or left."""
        if joined != self._joined:
            self._joined = joined
            self._stir(now_ns)

    def save(self, saving: int, now_ns: int) -> None:
        """Set how it saves power."""
        self.saving = saving
        self._from(now_ns)

    def send(self, now_ns: int) -> None:
        """Send a frame."""
        insort(self._sends, (now_ns, now_ns + _SENDS_NS))
        self._stir(now_ns)

    def hear(self, at_ns: int) -> int:
        """Give when the station gets a frame that reaches its network at a time."""
        span = next(s for s in reversed(self._spans) if s.since <= at_ns)
        if span.naps > 0:
            at_ns = self._beacon(at_ns, span.naps) + _HEARS_NS
        return at_ns

    def heard(self, now_ns: int) -> None:
        """Take note that it has got a frame: it answers that, and stays awake for a while."""
        self.send(now_ns)

    # -- its history -------------------------------------------------------------

    def _from(self, now_ns: int, stays_ns: int = 0) -> None:
        """Note how it is from now on; what was to come later is overtaken."""
        naps = LISTEN_BEACONS.get(self.saving, 0) if self._joined else 0
        while self._spans and self._spans[-1].since >= now_ns:
            self._spans.pop()
        if not self._on:
            self._spans.append(_Span(now_ns, -1))
            return
        if stays_ns or not naps:
            self._spans.append(_Span(now_ns, 0))
        if naps:
            self._spans.append(_Span(now_ns + stays_ns, naps))

    def _stir(self, now_ns: int) -> None:
        self._from(now_ns, _STAYS_NS)

    def _beacon(self, at_ns: int, every: int) -> int:
        """Give when the next beacon that is heard comes, at a time or after it."""
        period = BEACON_NS * every
        return at_ns + (self._phase - at_ns) % period

    # -- what it draws -------------------------------------------------------------

    def draws(self, begin: int, end: int) -> tuple[float, float]:
        """Give the mean and the highest current in A between two times in ns.

        They are asked for in the order of time; what lies before is forgotten.
        """
        spans, sends = self._spans, self._sends
        while len(spans) > 1 and spans[1].since <= begin:
            spans.pop(0)
        while sends and sends[0][1] <= begin:
            sends.pop(0)
        if len(spans) == 1 and spans[0].naps < 0 and not sends:
            return 0.0, 0.0  # it is off
        # The world may be far behind: of all that the radio has noted since, little counts here.
        hearing = sending = 0
        for k, span in enumerate(spans):
            if span.since >= end:
                break
            until = min(spans[k + 1].since if k + 1 < len(spans) else end, end)
            hearing += self._hearing(span.naps, max(span.since, begin), until)
        for since, until in sends:
            if since >= end:
                break
            sending += max(0, min(until, end) - max(since, begin))
        charge = hearing * HEARING_A + sending * SENDING_A
        highest = SENDING_A if sending else HEARING_A if hearing else 0.0
        return min(charge / (end - begin), highest), highest

    def _hearing(self, naps: int, begin: int, end: int) -> int:
        """Give for how long of a stretch of one kind it hears, in ns."""
        if naps < 0 or begin >= end:
            return 0
        if not naps:
            return end - begin
        heard, at = 0, self._beacon(begin - _HEARS_NS + 1, naps)
        while at < end:
            heard += min(at + _HEARS_NS, end) - max(at, begin)
            at += BEACON_NS * naps
        return heard
