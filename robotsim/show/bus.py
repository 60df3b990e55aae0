"""Bus: what goes over the two wires of I2C, as levels, and read back from them.

*Source*: NXP UM10204 (from memory): data changes while the clock is low; a fall of the data
while the clock is high begins, a rise ends; eight bits, highest first, then one in which the other
side answers with a low.  Reading ends with a high in that place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..recording import Recording
from ..units import SECOND, US
from .waves import Edge, Wave

__all__ = ["CLOCK_HZ", "Word", "bus_waves", "read_bus", "transfers"]

CLOCK_HZ = 400_000
"""The bus's usual clock; a recording does not keep it."""
_SETTLE_NS = 4 * US
"""From the end of a transfer until it is noted (the board's costs)."""


class Word(NamedTuple):
    """One byte on the bus: from when to when (ns), its value, whether it was answered."""

    begin: int
    end: int
    value: int
    answered: bool


def transfers(recording: Recording, begin: int, end: int) -> list[tuple[int, int, bytes, bytes]]:
    """Give the transfers that ended in a window: when (ns), address, bytes written, bytes read."""
    found = []
    for event in recording.of("i2c", "nack"):
        if begin <= event.time_ns < end + SECOND:
            sent, got = (bytes.fromhex(part) for part in (*event.data[1:], "", "")[:2])
            found.append((event.time_ns, int(event.data[0]), sent, got))
    return found


def bus_waves(
    recording: Recording, begin: int, end: int, clock_hz: int = CLOCK_HZ
) -> tuple[Wave, Wave]:
    """Give the levels of clock and data in a window; idle both are high."""
    clock: list[Edge] = []
    data: list[Edge] = []
    for at, address, sent, got in transfers(recording, begin, end):
        answered = bool(sent or got) or not any(e.time_ns == at for e in recording.of("nack"))
        bits = _bits(address, sent, got, answered)
        tick = SECOND // clock_hz
        start = at - _SETTLE_NS - len(bits) * tick
        if start < end:
            _draw(bits, start, tick, clock, data)
    return Wave.of(begin, end, clock, first=1), Wave.of(begin, end, data, first=1)


def _bits(address: int, sent: bytes, got: bytes, answered: bool) -> str:
    """Give a transfer as signs: S begin, P end, 0 and 1."""
    signs = ""
    if sent or not got:
        words = [address << 1, *sent] if answered else [address << 1]
        signs += "S" + "".join(f"{word:08b}{0 if answered else 1}" for word in words)
    if got:
        signs += "S" + f"{address << 1 | 1:08b}0"
        signs += "0".join(f"{word:08b}" for word in got) + "1"
    return signs + "P"


def _draw(bits: str, start: int, tick: int, clock: list[Edge], data: list[Edge]) -> None:
    """Add the edges of a transfer: the clock high in the middle half of each bit's time."""
    for k, bit in enumerate(bits):
        at = start + k * tick
        rise, fall = at + tick // 4, at + 3 * tick // 4
        if bit == "S":
            data += [(at, 1), (at + tick // 2, 0)]
            clock += [(rise, 1), (fall, 0)]
        elif bit == "P":
            data += [(at, 0), (at + tick // 2, 1)]
            clock += [(rise, 1)]
        else:
            data.append((at, int(bit)))
            clock += [(rise, 1), (fall, 0)]


def read_bus(clock: Wave, data: Wave) -> list[Word]:
    """Read the bytes from the levels of clock and data; one that the window cuts is left out."""
    moments: list[tuple[int, str]] = [(at, "rise") for at, level in clock.edges[1:] if level]
    for at, level in data.edges[1:]:
        if clock.at(at):
            moments.append((at, "end" if level else "begin"))
    words: list[Word] = []
    bits: list[tuple[int, int]] = []
    inside = False
    for at, what in sorted(moments):
        if what != "rise":
            inside, bits = what == "begin", []
        elif inside:
            bits.append((at, data.at(at)))
            if len(bits) == 9:
                words.append(_word(bits))
                bits = []
    return words


def _word(bits: Sequence[tuple[int, int]]) -> Word:
    value = int("".join(str(level) for _, level in bits[:8]), 2)
    return Word(bits[0][0], bits[8][0], value, not bits[8][1])
