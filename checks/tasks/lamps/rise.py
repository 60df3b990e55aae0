"""How the mast lamp comes up: what the criteria and the known mistakes of `lamps.fade` read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from robotsim import LAMPS, Recording

from ...readings.light import Colour, history, lightness, luminance

__all__ = ["BEGIN", "DURATION", "FULL", "MAST", "Rise", "is_full", "others_lit"]

MAST = 2
"""Its place in the chain."""
DURATION = 4.0
"""How long the rise should take, s."""
BEGIN = 1.0
"""By when, in s, the first light is asked."""
FULL = 253
"""A lamp with at least this as its weakest number is full: 255, but for a sum cut off too soon."""


@dataclass(frozen=True)
class Rise:
    """How the mast lamp came up: from its first light to the first time it is brightest.

    Attributes:
        times: When each new colour came, s.
        levels: Its lightness, 100 for the brightest that the lamp reached.
        numbers: Its strongest number, 0 to 255.
    """

    times: tuple[float, ...]
    levels: tuple[float, ...]
    numbers: tuple[int, ...]

    @classmethod
    def of(cls, recording: Recording, lamp: int = MAST) -> Rise | None:
        """Read it from a recording; None if the lamp stays dark."""
        steps = history(recording, lamp)
        lights = [lightness(luminance(step.colour)) for step in steps]
        top = max(lights)
        if top == 0.0:
            return None
        first = next(k for k, light in enumerate(lights) if light > 0.0)
        last = lights.index(top)
        part = slice(first, last + 1)
        return cls(
            tuple(step.time for step in steps[part]),
            tuple(100 * light / top for light in lights[part]),
            tuple(max(step.colour) for step in steps[part]),
        )

    @property
    def seconds(self) -> float:
        """How long it took."""
        return self.times[-1] - self.times[0]

    def off_line(self, values: Sequence[float]) -> tuple[float, float]:
        """Give the largest departure of the values from a straight rise, signed, and when."""
        worst, at = 0.0, self.times[0]
        for k in range(len(self.times) - 1):
            for time in self.times[k : k + 2]:
                off = values[k] - values[-1] * (time - self.times[0]) / self.seconds
                if abs(off) > abs(worst):
                    worst, at = off, time
        return worst, at

    @property
    def largest_step(self) -> tuple[float, float]:
        """Give the largest step up in lightness beyond all before, and when."""
        before, largest, at = 0.0, 0.0, self.times[0]
        for time, level in zip(self.times, self.levels, strict=True):
            if level - before > largest:
                largest, at = level - before, time
            before = max(before, level)
        return largest, at

    @property
    def fallen(self) -> tuple[float, float]:
        """Give the sum of all steps down on the way up, and when the first was."""
        downs = [
            (self.levels[k] - self.levels[k + 1], self.times[k + 1])
            for k in range(len(self.levels) - 1)
            if self.levels[k + 1] < self.levels[k]
        ]
        return sum(down for down, _ in downs), downs[0][1] if downs else 0.0


def is_full(colour: Colour) -> bool:
    """Say whether a colour is a white as bright as the lamp gets."""
    return min(colour) >= FULL


def others_lit(recording: Recording) -> list[str]:
    """Give the names of the other lamps that ever changed."""
    others = (lamp for lamp in range(len(LAMPS)) if lamp != MAST)
    return [LAMPS[lamp] for lamp in others if len(history(recording, lamp)) > 1]
