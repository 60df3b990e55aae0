"""Tally: what touched within a step, with how much impulse, and what of it is new."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from ..units import wrap
from .surfaces import Hull, Key, Pair, Touch

__all__ = ["Tally"]

_HELD = 1e-4
"""Gap in m up to which surfaces that have touched still count as touching."""
_ANEW = 0.05
"""Approach in m/s from which another impact of the same two things is told again."""


class Tally:
    """Impulses and hardest approach by pair, from step to step.

    Attributes:
        contacts: What touches now; the impulses are those of the last step.
    """

    def __init__(self) -> None:
        self.contacts: tuple[Touch, ...] = ()
        self._held: frozenset[Key] = frozenset()
        self._begin()

    def _begin(self) -> None:
        self._impulse: dict[Key, float] = {}
        self._approach: dict[Key, float] = {}
        self._bearing: dict[Key, float] = {}

    def add(self, pair: Pair, approach: float) -> None:
        """Note that two surfaces met, which approached at so many m/s."""
        key = pair.key
        self._impulse[key] = self._impulse.get(key, 0.0) + pair.row.impulse
        self._approach[key] = max(self._approach.get(key, 0.0), approach)
        self._bearing[key] = pair.bearing

    def forget(self) -> None:
        """Take note that nothing touches."""
        self.contacts, self._held = (), frozenset()

    def tell(self, pairs: Iterable[Pair], hulls: Sequence[Hull]) -> list[Touch]:
        """End a step: take note of what touches now, and give what is new."""
        near = {pair.key: pair.bearing for pair in pairs if pair.gap <= _HELD}
        touched = {key for key, impulse in self._impulse.items() if impulse > 0.0}
        held = {key: near[key] for key in near if key in self._held or key in touched}
        self.contacts = tuple(_both_ways(
            (Touch(key[0], self._impulse.get(key, 0.0), bearing, key[2])
             for key, bearing in held.items()), hulls,
        ))  # fmt: skip
        new = [
            Touch(key[0], impulse, self._bearing[key], key[2])
            for key, impulse in self._impulse.items()
            if impulse > 0.0 and (key not in self._held or self._approach[key] >= _ANEW)
        ]
        self._held = frozenset(held)
        self._begin()
        return list(_both_ways(new, hulls))


def _both_ways(touches: Iterable[Touch], hulls: Sequence[Hull]) -> Iterator[Touch]:
    """Give touches; where hull touches hull, also as the other one feels it."""
    for touch in touches:
        yield touch
        if touch.what == "tug":
            one, other = hulls
            way = math.atan2(one.y - other.y, one.x - other.x)
            yield touch._replace(bearing=wrap(way - other.heading), hull=1)
