"""Chance: noise that belongs to a moment, and not to who looks when.

A source that is drawn from, one number after the other, gives every later reader other noise as
soon as somebody reads once more.  Here each moment has its number, whoever asks and how often.
"""

from __future__ import annotations

import math
import random
from statistics import NormalDist
from zlib import crc32

__all__ = ["Noise", "Silence"]

_ALL = (1 << 32) - 1
_APART = 0x9E3779B1
_BITS = 12
_NORMAL = tuple(NormalDist().inv_cdf((k + 0.5) / (1 << _BITS)) for k in range(1 << _BITS))


class Noise:
    """Noise of mean 0 and deviation 1; each of its sources is free of the others.

    *Model*: the moment's CRC-32, begun with the source, mixed by two odd factors (a usual way to
    finish a hash, from memory); its top bits choose a quantile.

    Args:
        chance: What fixes it for a trial; one number is drawn.
    """

    def __init__(self, chance: random.Random) -> None:
        self._key = chance.getrandbits(32)

    def normal(self, source: int, moment: int) -> float:
        """Give the normal number of a moment, free of its neighbours'."""
        begun = (self._key + source * _APART) & _ALL
        x = crc32(moment.to_bytes(8, "little", signed=True), begun)
        x = ((x ^ x >> 15) * 0x2C1B3C6D) & _ALL
        x = ((x ^ x >> 12) * 0x297A2D39) & _ALL
        return _NORMAL[(x ^ x >> 15) >> (32 - _BITS)]

    def wander(self, source: int, time: float, band: float) -> float:
        """Give noise that has no more than a band, at a time.

        *Model*: white numbers stand 1/(3 band) apart; between them the noise goes over from one to
        the next, by weights whose squares add up to one at every time.  Its density at low
        frequencies is that of white noise cut off sharply at the band, 1/sqrt(band).

        Args:
            source: Which noise.
            time: When, in s.
            band: Equivalent noise bandwidth in Hz.
        """
        place = 3.0 * band * time
        step = int(place // 1.0)
        share = place - step
        rest = 1.0 - share
        both = rest * self.normal(source, step) + share * self.normal(source, step + 1)
        return both / math.sqrt(share * share + rest * rest)


class Silence(Noise):
    """No noise."""

    def __init__(self) -> None:
        super().__init__(random.Random(0))

    def normal(self, source: int, moment: int) -> float:
        """Give nothing."""
        return 0.0
