"""Chance: noise that belongs to a moment, and not to who looks when.

A source that is drawn from, one number after the other, gives every later reader other noise as
soon as somebody reads once more.  Here each moment has its number, whoever asks and how often.
"""

from __future__ import annotations

import math
import random
from statistics import NormalDist

__all__ = ["Noise", "Silence"]

_ALL = (1 << 64) - 1
_STRIDE, _APART = 0xD1342543DE82EF95, 0x632BE59BD9B4E019
_BITS = 12
_NORMAL = tuple(NormalDist().inv_cdf((k + 0.5) / (1 << _BITS)) for k in range(1 << _BITS))


class Noise:
    """Noise of mean 0 and deviation 1; each of its sources is free of the others.

    *Model*: a 64-bit mixing function (SplitMix64, from memory) of source and moment, whose top bits
    choose a quantile.

    Args:
        chance: What fixes it for a trial; one number is drawn.
    """

    def __init__(self, chance: random.Random) -> None:
        self._key = chance.getrandbits(64)

    def normal(self, source: int, moment: int) -> float:
        """Give the normal number of a moment, free of its neighbours'."""
        x = (self._key + source * _APART + moment * _STRIDE) & _ALL
        x = ((x ^ x >> 30) * 0xBF58476D1CE4E5B9) & _ALL
        x = ((x ^ x >> 27) * 0x94D049BB133111EB) & _ALL
        return _NORMAL[(x ^ x >> 31) >> (64 - _BITS)]

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
