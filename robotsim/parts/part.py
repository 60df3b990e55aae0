"""What every part offers, and what it may ask of the world around it."""

from __future__ import annotations

import random
from typing import ClassVar, Protocol

from ..core import mypyc_attr
from ..wiring import Signal
from .day import Day
from .quirks import Quirks

__all__ = ["FakeSurroundings", "Part", "Surroundings"]


class Surroundings(Protocol):
    """What a part may know of the world: where the tug is and what is beneath it."""

    x: float
    y: float
    heading: float
    speed: float
    """Speed of the middle of the axle along the heading, m/s."""
    turn_rate: float
    """Rate of turn, rad/s, counter-clockwise positive."""
    acceleration: float
    """Change of `speed`, m/s^2."""
    supply_volts: float
    """Voltage at the battery's terminals."""
    source_ohm: float
    """By how much that falls for each ampere, in V/A."""
    ahead: float
    """How long before the moment that is looked at a part was last told to `advance`, in s."""

    @property
    def pressed(self) -> bool:
        """Whether something pushes on the bumper."""
        ...

    @property
    def idle_volts(self) -> float:
        """What the voltage there would be if the motors drew nothing."""
        ...

    def floor(self, x: float, y: float) -> float:
        """Give the share of infrared light that the floor returns at a point, 0 to 1."""
        ...

    def even(self, x: float, y: float, radius: float) -> float | None:
        """Give that share where it is the same up to a radius in m about a point; else None."""
        ...

    def lit(self, x: float, y: float) -> float:
        """Give the room's light at a point now, against its mean over the table."""
        ...


@mypyc_attr(allow_interpreted_subclasses=True)
class FakeSurroundings:
    """A quiet world for small tests: a tug at rest on a white floor."""

    def __init__(self, *, shade: float = 0.9) -> None:
        self.x = self.y = self.heading = 0.0
        self.speed = self.turn_rate = self.acceleration = 0.0
        self.supply_volts = 4.8
        self.source_ohm = self.ahead = 0.0
        self.pressed = False
        self.shade = shade

    @property
    def idle_volts(self) -> float:
        """The supply's voltage, which nothing pulls down here."""
        return self.supply_volts

    def floor(self, x: float, y: float) -> float:
        """Give the same shade everywhere."""
        return self.shade

    def even(self, x: float, y: float, radius: float) -> float | None:
        """Leave it to every point."""
        return None

    def lit(self, x: float, y: float) -> float:
        """Give the same light everywhere."""
        return 1.0


@mypyc_attr(allow_interpreted_subclasses=True)
class Part:
    """One component of the tug: a pure model that knows neither board nor table.

    A part is made fresh for each trial.  It is told what its pins do by
    `drive`, lives on by `advance`, and is asked by `volts` (analogue pins),
    `level` (digital pins) and `readings` (columns for the recording).  All it
    ever does follows from its quirks, its random source and these calls.
    Being asked changes nothing: noise belongs to the moment, see `robotsim.chance`.

    Attributes:
        roles: The pins of the part, by their names in `robotsim.wiring.PINS`.
        tracks: The columns of the recording that it fills.
        amps: Current that it draws from the battery now, in A.
    """

    roles: ClassVar[tuple[str, ...]] = ()
    tracks: ClassVar[tuple[str, ...]] = ()

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        self.quirks = quirks
        self.noise = noise
        self.amps = 0.0

    def meet(self, day: Day) -> None:
        """Take what is different today, once, before anything else."""

    def drive(self, role: str, signal: Signal) -> None:
        """Take a new signal on one of the part's input pins."""

    def advance(self, duration: float, around: Surroundings) -> None:
        """Live on for a duration in seconds."""

    def volts(self, role: str, around: Surroundings) -> float:
        """Give the voltage that the part puts on an analogue pin now."""
        return 0.0

    def level(self, role: str, around: Surroundings) -> int | None:
        """Give the level (0 or 1) that the part puts on a digital pin, None for open."""
        return None

    def next_edge(self, around: Surroundings) -> float | None:
        """Give the time in s until a level changes by itself, None if it will not."""
        return None

    def readings(self) -> tuple[float, ...]:
        """Give the part's state as numbers, one for each of its `tracks`."""
        return ()
