"""Bumper: the push switch at the bow."""

from __future__ import annotations

import bisect
import random
from typing import ClassVar

from .part import Part, Surroundings
from .quirks import Quirks

__all__ = ["BOUNCE_S", "Bumper"]

BOUNCE_S = (0.0025, 0.0035)
"""Shortest and longest time in s that the contacts bounce (invented: about 3 ms)."""
_PAIRS = (2, 4)
"""Fewest and most times that they part again (invented)."""


class Bumper(Part):
    """A switch to ground that bounces when it closes and when it opens.

    *Model*: each change starts a burst of about 3 ms in which the contacts
    open and close a few times at moments drawn from the noise source.  Closed
    is level 0; open is left to the board's pull-up.
    *Source*: bounce of small switches, common practice, no source; figures invented.
    """

    roles: ClassVar[tuple[str, ...]] = ("bumper",)
    tracks: ClassVar[tuple[str, ...]] = ("bumper",)

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self._pressed = False
        self._clock = 0.0
        self._changes: list[float] = []

    def advance(self, duration: float, around: Surroundings) -> None:
        """Let the contacts bounce on for a time in s."""
        self._clock += duration
        self._feel(around)

    def level(self, role: str, around: Surroundings) -> int | None:
        """Give 0 while the contacts touch, None while they are apart."""
        self._feel(around)
        return 0 if self._closed(self._clock + around.ahead) else None

    def next_edge(self, around: Surroundings) -> float | None:
        """Give the time in s until the contacts next change by themselves, None if at rest."""
        now = self._clock + around.ahead
        later = bisect.bisect_right(self._changes, now)
        return self._changes[later] - now if later < len(self._changes) else None

    def readings(self) -> tuple[float, ...]:
        """Give 1 while the contacts touch."""
        return (1.0 if self._closed(self._clock) else 0.0,)

    def _closed(self, time: float) -> bool:
        """Tell whether the contacts touch at a time in s; they were open at first."""
        return bool(bisect.bisect_right(self._changes, time) % 2)

    def _feel(self, around: Surroundings) -> None:
        """Start a burst if something began or ceased to push."""
        pressed = bool(around.pressed)
        if pressed == self._pressed:
            return
        self._pressed, now = pressed, self._clock
        lasts = self.noise.uniform(*BOUNCE_S)
        # An even number of changes: it ends as it began, in the new state.
        inner = 2 * self.noise.randint(*_PAIRS) - 1
        early = sorted(self.noise.uniform(0.0, lasts) for _ in range(inner))
        del self._changes[bisect.bisect_right(self._changes, now) :]  # an earlier burst ends here
        if len(self._changes) % 2 != pressed:
            self._changes.append(now)
        self._changes += [now + change for change in (*early, lasts)]
