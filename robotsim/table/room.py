"""Room: the light that falls on a table from elsewhere."""

from __future__ import annotations

import math
import random

__all__ = ["FLICKER_HZ", "Room"]

FLICKER_HZ = 100.0
"""Lamps on a 50 Hz mains brighten twice a period (120 where the mains has 60)."""


class Room:
    """The room's light, against its mean over the table.

    *Model*: brighter to one side, evenly, by 10 to 25 % a metre, and a ripple of 2 to 6 % at 100
    Hz, the same everywhere.  Side, slope, ripple and its phase are drawn from the seed.
    *Source*: flicker at twice the mains' frequency, IEEE Std 1789-2015 (from memory); sizes
    invented, those of a room with a window and some lamps.

    Args:
        chance: What the room is drawn from.
        middle: The middle of the table, x and y in m.
    """

    def __init__(self, chance: random.Random, middle: tuple[float, float]) -> None:
        way, slope = chance.uniform(0.0, 2.0 * math.pi), chance.uniform(0.10, 0.25)
        self._x, self._y = slope * math.cos(way), slope * math.sin(way)
        self._ripple, self._phase = chance.uniform(0.02, 0.06), chance.uniform(0.0, 2.0 * math.pi)
        self._mean = 1.0 - self._x * middle[0] - self._y * middle[1]

    def light(self, x: float, y: float, time_s: float) -> float:
        """Give the light at a place in m and a time in s; 1 is the mean over the table."""
        ripple = self._ripple * math.sin(2.0 * math.pi * FLICKER_HZ * time_s + self._phase)
        return max(self._mean + self._x * x + self._y * y, 0.0) + ripple
