"""Bumper: the push switch at the bow."""

from __future__ import annotations

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

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self._pressed = False
        self._since = 0.0
        self._edges: tuple[float, ...] = ()

    def advance(self, duration: float, around: Surroundings) -> None:
        """Let the contacts bounce on for a time in s."""
        self._since += duration
        self._look(around)

    def level(self, role: str, around: Surroundings) -> int | None:
        """Give 0 while the contacts touch, None while they are apart."""
        self._look(around)
        return 0 if self._closed() else None

    def next_edge(self) -> float | None:
        """Give the time in s until the contacts next change by themselves, None if at rest."""
        for edge in self._edges:
            if edge > self._since:
                return edge - self._since
        return None

    def readings(self) -> dict[str, float]:
        """Give 1 while the contacts touch."""
        return {"bumper": 1.0 if self._closed() else 0.0}

    def _closed(self) -> bool:
        passed = sum(1 for edge in self._edges if edge <= self._since)
        return self._pressed ^ bool(passed % 2)

    def _look(self, around: Surroundings) -> None:
        """Start a burst if something began or ceased to push."""
        pressed = bool(around.pressed)
        if pressed == self._pressed:
            return
        self._pressed, self._since = pressed, 0.0
        lasts = self.noise.uniform(*BOUNCE_S)
        # An even number of changes: it ends as it began, in the new state.
        inner = 2 * self.noise.randint(*_PAIRS) - 1
        early = sorted(self.noise.uniform(0.0, lasts) for _ in range(inner))
        self._edges = (*early, lasts)
