"""Day: what two runs of one tug do not share, drawn once for each run.

Quirks are a tug's own and last; the day is what is different the next time.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from .battery import START_CHARGE

__all__ = ["IDEAL", "Day", "Grain", "seed_day"]

CHARGE_SD = 0.04
"""Of the battery's charge; of its voltage that is half a hundredth."""
STRENGTH_SD, SIDES_SD = 0.006, 0.0013
"""Of both motors' constants together, and of each by itself, as shares (warmth, grease)."""
START_SPREAD = 0.173
"""Most by which a start duty differs, as a share; all in between is as likely (where in their
pitch the teeth happen to rest), so its standard deviation is a tenth."""
DRAG = 0.039
"""Most by which the floor's grain helps or hinders a wheel, in N: it rolls with 0.02 to 0.05 N."""
SCRUB = 0.045
"""Most by which the grain changes the track that the tyres turn on, as a share."""
BALL = 0.0015
"""Most by which the float lies beside its place, along x and along y, in m."""
_CELL_M = 0.04
_MOST = math.sqrt(6.0)
"""Where a triangle's corners are, in standard deviations."""
_TILE = 64


class Grain:
    """Something about the floor that differs from place to place: dust, paper, seams.

    *Model*: values at the corners of a grid of 40 mm that lies where the day has
    put it, each as likely from `-most` to `most`, and between them straight in
    both directions.  It is a function of the place and of nothing else, so it
    does not matter who looks when, or how long the simulator's steps are.
    After 2.56 m it repeats.
    *Source*: invented, sized by where runs end (see `Day`).

    Args:
        name: What it is drawn from.
        most: The greatest value.
    """

    def __init__(self, name: str, most: float) -> None:
        draw = random.Random(name).random
        self._column, self._row = draw(), draw()
        self._rows = [[most * (2.0 * draw() - 1.0) for _ in range(_TILE)] for _ in range(_TILE)]

    def at(self, x: float, y: float) -> float:
        """Give the value at a place in m."""
        u, v = x / _CELL_M + self._column, y / _CELL_M + self._row
        column, row = math.floor(u), math.floor(v)
        u, v = u - column, v - row
        column &= _TILE - 1
        after = (column + 1) & (_TILE - 1)
        low, high = self._rows[row & (_TILE - 1)], self._rows[(row + 1) & (_TILE - 1)]
        here = low[column] + u * (low[after] - low[column])
        return here + v * (high[column] + u * (high[after] - high[column]) - here)


@dataclass(frozen=True)
class Day:
    """What one run has of its own.

    *Model*: every figure is drawn from the day's name and the tug's serial
    number.  Serial 0, the tug as drawn, has ideal days: nothing differs.
    *Source*: invented, and sized by what comes out: a metre by time ends with
    a standard deviation of about 10 mm along and 15 mm across, a quarter turn
    by time of about 2 degrees (common practice, no source; the way to tell
    such errors from a tug's own is that of Borenstein and Feng, 1996: see
    `tests/published/test_odometry.py`).

    Attributes:
        name: What it is drawn from; "" for the ideal day.
        charge: How full the battery is at first, 0 to 1.
        strengths: Of the left and the right motor, against the tug's own.
        starts: How much harder the gears stick at rest, left and right, against the tug's own.
        float_off: By how much the float lies beside its place, in m along x and y.
        drag: The floor's grain under a wheel, in N against its rolling; None for an even floor.
        scrub: The grain as it changes the track that the tyres turn on, as a share; None likewise.
    """

    name: str = ""
    charge: float = START_CHARGE
    strengths: tuple[float, float] = (1.0, 1.0)
    starts: tuple[float, float] = (1.0, 1.0)
    float_off: tuple[float, float] = (0.0, 0.0)
    drag: Grain | None = None
    scrub: Grain | None = None

    @classmethod
    def of(cls, name: str, serial: int) -> Day:
        """Give a tug's day by its name."""
        if not name or not serial:
            return IDEAL
        text = f"{name} {serial}"
        draw = random.Random(f"day {text}")
        both = _about(draw, STRENGTH_SD)
        return cls(
            name,
            charge=START_CHARGE + _about(draw, CHARGE_SD),
            strengths=(1.0 + both + _about(draw, SIDES_SD), 1.0 + both + _about(draw, SIDES_SD)),
            starts=(_within(draw, START_SPREAD) + 1.0, _within(draw, START_SPREAD) + 1.0),
            float_off=(_within(draw, BALL), _within(draw, BALL)),
            drag=Grain(f"drag {text}", DRAG),
            scrub=Grain(f"scrub {text}", SCRUB),
        )

    def luck(self, seed: int) -> str:
        """Give what noise is drawn from: on a day that is not the seed's own, of that day too."""
        return f"{seed}" if self.name in ("", seed_day(seed)) else f"{seed} {self.name}"


IDEAL = Day()
"""The day on which nothing differs: a tug as its quirks make it, on an even floor."""


def seed_day(seed: int) -> str:
    """Give the name of the day that goes with a trial's seed."""
    return f"seed {seed}"


def _about(draw: random.Random, deviation: float) -> float:
    """Draw from a triangle about 0: small is likelier, and beyond 2.45 deviations is nothing."""
    return draw.triangular(-_MOST * deviation, _MOST * deviation)


def _within(draw: random.Random, most: float) -> float:
    return draw.uniform(-most, most)
