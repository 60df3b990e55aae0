"""Lamps: a chain of five addressable pixels on one wire."""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import ClassVar

from ..errors import KitError
from .part import Part
from .quirks import Quirks

__all__ = ["LATCH_NS", "TIMINGS", "TOLERANCE_NS", "Colour", "Lamps", "Waveform", "decode", "hear"]

Colour = tuple[int, int, int]
"""Red, green, blue, 0 to 255 each."""
Waveform = list[tuple[int, int]]
"""Stretches of one level: (level 0 or 1, duration in ns)."""

TIMINGS = ((800, 1700, 1600, 900), (400, 850, 800, 450))
"""High and low of a 0, high and low of a 1, in ns: timing 0 (400 kHz), timing 1 (800 kHz).
MicroPython's neopixel driver (read); the second is the WS2812B sheet's (transcription)."""
TOLERANCE_NS = 150
"""By how much each of the four may be off: WS2812B data sheet (transcription)."""
LATCH_NS = 50_000
"""Low time that ends a frame: WS2812B data sheet (transcription)."""

_SPLIT_NS = 600
"""A high longer than this is a 1: half-way between the sheet's longest 0 and shortest 1."""
_IDLE_AMPS, _CHANNEL_AMPS = 0.0007, 0.0185
"""A dark pixel, and one channel at full: measured by others (transcription)."""


class Lamps(Part):
    """Lamps in a chain, five as drawn: bytes on the wire in, colours out.

    *Model*: every pixel keeps the first three bytes that reach it and passes
    the rest on; at the latch they show.  A short frame leaves the later lamps
    as they were; a pixel that got less than three bytes keeps its colour;
    bytes for more pixels than there are fall off the end.  The chips tell a
    bit by its high time alone, so at 400 kHz, where even a 0 is high for
    800 ns, they take every bit for a 1 and the lamps turn white.
    *Source*: WS2812B data sheet (transcription), order of the bytes (read);
    RGB-ordered chips exist, WS2811 (read); what a chip makes of bits outside
    the tolerances: common practice, no source.
    """

    roles: ClassVar[tuple[str, ...]] = ("lamps",)

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self._shown: list[Colour] = [(0, 0, 0)] * quirks.build.lamps
        order = quirks.lamp_order
        self._places = order.index("R"), order.index("G"), order.index("B")
        self.amps = _amps(self._shown)

    @property
    def shown(self) -> tuple[Colour, ...]:
        """What the lamps show now, in the order of the chain."""
        return tuple(self._shown)

    def frame(self, data: bytes, timing: int) -> tuple[Colour, ...]:
        """Take the bytes of one frame and give what the lamps show after it.

        Args:
            data: The bytes in the order in which they go over the wire.
            timing: 1 for 800 kHz, 0 for 400 kHz.

        Raises:
            KitError: The timing is neither 0 nor 1.
        """
        zero_high, _, one_high, _ = _figures(timing)
        if zero_high > _SPLIT_NS:
            data = b"\xff" * len(data)
        elif one_high <= _SPLIT_NS:
            data = bytes(len(data))
        red, green, blue = self._places
        for lamp in range(min(len(data) // 3, len(self._shown))):
            at = 3 * lamp
            self._shown[lamp] = (data[at + red], data[at + green], data[at + blue])
        self.amps = _amps(self._shown)
        return tuple(self._shown)

    @staticmethod
    def frame_ns(data: bytes, timing: int) -> int:
        """Give the time in ns that a frame takes on the wire, its latch included."""
        zero_high, zero_low, one_high, one_low = _figures(timing)
        ones = sum(byte.bit_count() for byte in data)
        zeros = 8 * len(data) - ones
        return zeros * (zero_high + zero_low) + ones * (one_high + one_low) + LATCH_NS

    @staticmethod
    def waveform(data: bytes, timing: int) -> Waveform:
        """Give the levels on the wire for a frame, highest bit of each byte first.

        The last low takes in the latch.
        """
        zero_high, zero_low, one_high, one_low = _figures(timing)
        bits = (((1, zero_high), (0, zero_low)), ((1, one_high), (0, one_low)))
        wave: Waveform = []
        for byte in data:
            for place in range(7, -1, -1):
                wave += bits[byte >> place & 1]
        if not wave:
            return [(0, LATCH_NS)]
        wave[-1] = (0, wave[-1][1] + LATCH_NS)
        return wave


def hear(waveform: Iterable[tuple[int, int]]) -> bytes:
    """Give the bytes that a pixel makes of a waveform: each high counts, by its length alone.

    Bits of a byte that is not complete are lost.
    """
    bits: list[int] = []
    for level, duration in waveform:
        if level:
            bits.append(1 if duration > _SPLIT_NS else 0)
        elif duration > LATCH_NS and bits:
            break
    return _bytes(bits[: len(bits) // 8 * 8])


def decode(waveform: Iterable[tuple[int, int]]) -> bytes:
    """Read one frame from a waveform, holding it to the data sheet.

    Raises:
        KitError: A time is outside the sheet's tolerance, the levels do not
            take turns, the frame has no latch or ends within a byte.
    """
    bits: list[int] = []
    high: int | None = None
    for level, duration in waveform:
        if level == 1 and high is None:
            high = duration
            continue
        if level != 0 or (high is None and bits):
            raise _off(len(bits), "the level does not change where it should")
        if high is not None:
            bits.append(_bit(len(bits), high, duration))
            high = None
        if duration > LATCH_NS:
            break
    else:
        if not bits and high is None:
            return b""  # nothing was sent
        raise _off(len(bits), f"there is no low of more than {LATCH_NS} ns to end the frame")
    if len(bits) % 8:
        raise _off(len(bits), "the frame ends within a byte")
    return _bytes(bits)


def _bit(number: int, high: int, low: int) -> int:
    """Tell a bit from its two times, the low of the last one running into the latch."""
    zero_high, zero_low, one_high, one_low = TIMINGS[1]
    for bit, high_ns, low_ns in ((0, zero_high, zero_low), (1, one_high, one_low)):
        if abs(high - high_ns) <= TOLERANCE_NS:
            if low > LATCH_NS or abs(low - low_ns) <= TOLERANCE_NS:
                return bit
            raise _off(number, f"it is low for {low} ns; a {bit} has {low_ns} +-{TOLERANCE_NS} ns")
    raise _off(
        number,
        f"it is high for {high} ns; a 0 has {zero_high}, a 1 has {one_high}, +-{TOLERANCE_NS} ns",
    )


def _off(bit: int, what: str) -> KitError:
    return KitError(
        f"This is no frame that the lamps' data sheet allows: {what}.",
        where=f"bit {bit} of the frame, counted from 0",
        hint="send it with timing=1, eight bits a byte and a pause at the end.",
    )


def _bytes(bits: list[int]) -> bytes:
    text = "".join(map(str, bits))
    return bytes(int(text[at : at + 8], 2) for at in range(0, len(text), 8))


def _figures(timing: int) -> tuple[int, int, int, int]:
    if timing not in (0, 1):
        raise KitError(
            f"The lamps' timing is 0 (400 kHz) or 1 (800 kHz), not {timing!r}.",
            hint="use timing=1.",
        )
    return TIMINGS[timing]


def _amps(shown: list[Colour]) -> float:
    return len(shown) * _IDLE_AMPS + sum(map(sum, shown)) / 255.0 * _CHANNEL_AMPS
