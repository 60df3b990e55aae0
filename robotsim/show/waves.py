"""Waves: the levels on a pin, worked out from a recording when somebody looks.

A recording keeps what was told to the board ("pulses of 30 %"), not the edges.  All times in whole
nanoseconds.
"""

from __future__ import annotations

import bisect
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..errors import KitError
from ..parts.lamps import Lamps, hear
from ..recording import Recording
from ..units import SECOND
from ..wiring import Signal

__all__ = ["MOST_EDGES", "Wave", "bytes_of_frame", "frames", "pin_wave", "pulses", "signals"]

MOST_EDGES = 20_000
"""More edges than this in one window cannot be told apart in any picture."""
Edge = tuple[int, int]
"""When (ns), and the level from then on (0 or 1)."""


@dataclass(frozen=True)
class Wave:
    """The levels of one wire over a window of time.

    Attributes:
        begin, end: The window, in ns.
        edges: When the level became which; the first stands at `begin`, and each differs from
            the one before.
    """

    begin: int
    end: int
    edges: tuple[Edge, ...]

    @classmethod
    def of(cls, begin: int, end: int, edges: Iterable[Edge], first: int = 0) -> Wave:
        """Make a wave from edges in order of time; those before the window give its first level."""
        kept = [(begin, first)]
        for at, level in edges:
            if at >= end:
                break
            if at <= begin:
                kept = [(begin, level)]
            elif level != kept[-1][1]:
                kept.append((at, level))
        return cls(begin, end, tuple(kept))

    def at(self, time_ns: int) -> int:
        """Give the level at a time."""
        return self.edges[max(0, bisect.bisect_right(self.edges, (time_ns, 2)) - 1)][1]

    @property
    def stretches(self) -> Iterator[tuple[int, int, int]]:
        """Go through (level, from, to)."""
        ends = [*(at for at, _ in self.edges[1:]), self.end]
        for (at, level), until in zip(self.edges, ends, strict=True):
            yield level, at, until

    def between(self, begin: int, end: int) -> tuple[int, float]:
        """Give how often the level rises in a part of the window, and its share of time high."""
        rises = sum(level for at, level in self.edges[1:] if begin <= at < end)
        high = sum(
            max(0, min(until, end) - max(at, begin)) for level, at, until in self.stretches if level
        )
        return rises, high / (end - begin) if end > begin else float(self.at(begin))


def signals(recording: Recording, pin: int) -> list[tuple[int, Signal]]:
    """Give what an output pin put out, and from when (ns) on."""
    return [(change.since_ns, change.signal) for change in recording.comes_out(pin)]


def _cycle(at: int, freq_hz: float) -> int:
    """Give the number of the first cycle that begins at or after a time."""
    return -(-at * round(freq_hz) // SECOND)


def _start(cycle: int, freq_hz: float) -> int:
    return -(-cycle * SECOND // round(freq_hz))


def _train(signal: Signal, begin: int, end: int) -> Iterator[Edge]:
    """Give the edges of a signal within a stretch of time, its level at the beginning included."""
    if not signal.freq_hz or signal.duty in (0.0, 1.0):
        yield begin, round(signal.duty)
        return
    high = round(signal.duty * SECOND / signal.freq_hz)
    cycle = _cycle(begin, signal.freq_hz)
    before = _start(cycle - 1, signal.freq_hz) if cycle else -high
    if begin < before + high:
        yield begin, 1
        yield before + high, 0
    else:
        yield begin, 0
    while (at := _start(cycle, signal.freq_hz)) < end:
        yield at, 1
        yield at + high, 0
        cycle += 1


def pin_wave(recording: Recording, pin: int, begin: int, end: int) -> Wave | None:
    """Give the levels on a digital pin; None where they change too often to be drawn.

    An input shows what the program read there, from one reading to the next that differs.

    Args:
        recording: Where to look.
        pin: The pin's number.
        begin: From when, in ns.
        end: Until when.

    Raises:
        KitError: The window is empty.
    """
    if not begin < end:
        raise KitError(
            "The window of time is empty.", hint="let it end after it begins: seconds=0.01."
        )
    told = signals(recording, pin)
    edges: list[Edge] = [(e.time_ns, int(e.data[1])) for e in recording.of("read", pin=pin)]
    for k, (at, signal) in enumerate(told):
        until = min(told[k + 1][0] if k + 1 < len(told) else end, end)
        since = max(at, begin)
        if since < until:
            if (until - since) * signal.freq_hz / SECOND * 2 > MOST_EDGES:
                return None
            edges += [(t, level) for t, level in _train(signal, since, until) if t < until]
        elif at < begin:
            edges.append((at, round(signal.duty) if not signal.freq_hz else 0))
    for at, data, timing in frames(recording, pin, begin, end):
        for level, duration in Lamps.waveform(data, timing):
            edges.append((at, level))
            at += duration
    if len(edges) > MOST_EDGES:
        return None
    return Wave.of(begin, end, sorted(edges, key=lambda edge: edge[0]))


def frames(
    recording: Recording, pin: int, begin: int, end: int
) -> Iterator[tuple[int, bytes, int]]:
    """Go through the frames of bytes that were sent on a pin in a window: (ns, bytes, timing)."""
    for event in recording.of("frame", pin=pin):
        data = bytes.fromhex(event.data[2])
        if event.time_ns < end and event.time_ns + Lamps.frame_ns(data, event.data[1]) > begin:
            yield event.time_ns, data, event.data[1]


def pulses(wave: Wave) -> list[tuple[int, int]]:
    """Give the whole pulses of a wave: when each begins, and how long it is, in ns."""
    whole = list(wave.stretches)
    return [
        (at, until - at) for k, (level, at, until) in enumerate(whole)
        if level and 0 < k < len(whole) - 1
    ]  # fmt: skip


def bytes_of_frame(wave: Wave, begin: int) -> list[tuple[int, int, int]]:
    """Read the bytes that a chip of the lamps makes of a wave from a time on.

    Returns:
        From when to when each lasts (ns), and its value; a byte that the window cuts is left out.
    """
    bits = [(at, until) for level, at, until in wave.stretches
            if level and at >= begin and until < wave.end]  # fmt: skip
    found: list[tuple[int, int, int]] = []
    for k in range(0, len(bits) - len(bits) % 8, 8):
        group: Sequence[tuple[int, int]] = bits[k : k + 8]
        if k and group[0][0] - bits[k - 1][1] > 50_000:
            break  # a pause that ends the frame
        heard = hear([part for at, until in group for part in ((1, until - at), (0, 500))])
        last = bits[k + 8][0] if k + 8 < len(bits) else group[-1][1] + 450
        found.append((group[0][0], min(last, group[-1][1] + 2000), heard[0]))
    return found
