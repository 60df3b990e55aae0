"""Bows: the side lights of a tug of the fleet, and what they must be."""

from __future__ import annotations

from typing import NamedTuple

from ...readings.colour import Colour, colour_seen
from .fleet import Sailing

__all__ = ["PORT", "STARBOARD", "SideLights"]

PORT, STARBOARD = "red", "green"
"""The colours of the side lamps (COLREGs rule 21)."""


class SideLights(NamedTuple):
    """What a tug's port and starboard bow show."""

    one: Sailing
    port: Colour
    starboard: Colour

    @property
    def right(self) -> int:
        """How many of the two are right."""
        return (colour_seen(self.port) == PORT) + (colour_seen(self.starboard) == STARBOARD)

    @property
    def exchanged(self) -> bool:
        """Whether each shows the other's colour."""
        return (colour_seen(self.port), colour_seen(self.starboard)) == (STARBOARD, PORT)

    @property
    def words(self) -> str:
        """The two colours, for the card."""
        return f"{self.one.member.name}: port bow {self.port}, starboard bow {self.starboard}"
