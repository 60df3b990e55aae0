"""Diary: when the processor rested, and what share of each stretch of time it was busy."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence

__all__ = ["Diary", "busy_shares"]

Stretch = tuple[int, int]
"""From when to when, in ns."""


class Diary:
    """What one start of a program did with its processor's time.

    Busy is whatever is no rest: what the program computes, as its text is counted, and what an
    operation of the board takes, a character on the console too.  It rests in a sleep, and while
    it waits for the radio.

    Args:
        start_ns: When the program's first line begins.
    """

    def __init__(self, start_ns: int) -> None:
        self.start_ns = start_ns
        self.rests: list[Stretch] = []

    def rest(self, begin_ns: int, end_ns: int) -> None:
        """Note a rest; they come one after the other."""
        if end_ns > begin_ns:
            self.rests.append((begin_ns, end_ns))

    def busy(self, end_ns: int) -> list[Stretch]:
        """Give the stretches without rest, up to the program's end."""
        found, since = [], self.start_ns
        for begin, end in self.rests:
            if begin > since:
                found.append((since, min(begin, end_ns)))
            since = max(since, end)
        if end_ns > since:
            found.append((since, end_ns))
        return found


def busy_shares(stretches: Iterable[Stretch], every_ns: int, count: int) -> Sequence[float]:
    """Give what share of the time before each sample was busy.

    Args:
        stretches: When the processor was busy.
        every_ns: From sample to sample; the first is at 0, and has no time before it.
        count: How many samples.
    """
    spent = [0] * (count + 1)
    for begin, end in stretches:
        k = begin // every_ns + 1
        while begin < end and k < count:
            until = min(end, k * every_ns)
            spent[k] += until - begin
            begin, k = until, k + 1
    return array("d", (round(ns / every_ns, 4) for ns in spent[:count]))
