"""Line eyes: four reflectance sensors that look at the floor."""

from __future__ import annotations

import math
import random
from functools import cache
from typing import ClassVar

from .part import Part, Surroundings
from .quirks import Quirks

__all__ = ["AHEAD", "HEIGHT_MM", "SIDEWAYS", "LineEyes", "relative_light", "room_and_drop"]

AHEAD = 0.044
"""Distance of the row ahead of the axle, in m."""
SIDEWAYS = {"eye_0": 0.018, "eye_1": 0.006, "eye_2": -0.006, "eye_3": -0.018}
"""Distance of each eye to port of the middle, in m: 12 mm apart."""
HEIGHT_MM = 3.0
"""Height of the eyes above the floor, in mm."""

_SUPPLY = 3.3
_LEAST_VOLTS = 0.12
"""Voltage of a transistor that is fully on (invented; it never reaches 0)."""
_DROP = 2.49
"""Fall of the voltage in V for a floor that returns all light, at the best height (invented)."""
_AMBIENT = 0.30
"""Fall of the voltage in V that the light of the room makes (invented)."""
_SPOT = 0.002
"""Radius in m of the ring of points that stands for the spot of light (invented)."""


def _ring() -> tuple[tuple[float, float, float], ...]:
    # Turned so that the seven points are evenly spaced across the tug: the reading then
    # slides over the edge of a line in even small steps, as the eye's round spot does.
    turned = math.atan(1.0 / (3.0 * math.sqrt(3.0)))
    around = [turned + k * math.pi / 3.0 for k in range(6)]
    ring = [(_SPOT * math.sin(a), _SPOT * math.cos(a), 0.125) for a in around]
    return ((0.0, 0.0, 0.25), *ring)


_POINTS = {
    role: tuple((AHEAD + ahead, side + aside, share) for ahead, aside, share in _ring())
    for role, side in SIDEWAYS.items()
}
_SHARES = tuple(share for _, _, share in _ring())
_NUMBER = {role: number for number, role in enumerate(SIDEWAYS)}


@cache
def _all_over(shade: float) -> float:
    """Give what the points come to where they all have one shade: to the last bit."""
    total = 0.0
    for share in _SHARES:
        total += share * shade
    return total


def relative_light(height_mm: float) -> float:
    """Give the light that comes back from a height, against the best height.

    *Model*: 1 at 2.5 mm, falling to 0.2 at 0.2 mm and at 15 mm, a parabola in
    the logarithm of the height whose two halves have widths of their own.
    *Source*: TCRT5000, Vishay document 83760 rev. 1.7: peak at 2.5 mm, more
    than 20 % from 0.2 to 15 mm (read).
    """
    if height_mm <= 0.0:
        return 0.0
    off = math.log(height_mm / 2.5)
    end = math.log((0.2 if off < 0.0 else 15.0) / 2.5)
    return float(0.2 ** ((off / end) ** 2))


def room_and_drop() -> tuple[float, float]:
    """Give by how many volts the room's light, and a floor that returns all, pull an eye's pin."""
    return _AMBIENT, _DROP


class LineEyes(Part):
    """Four eyes across the bow, eye 0 to port, eye 3 to starboard.

    *Model*: the floor's infrared shade, averaged over a spot of 4 mm by seven
    weighted points, times the light for the height; a phototransistor pulls
    the pin down from 3.3 V, so much light gives a low voltage: white paper
    about 0.8 V, an ink that returns a quarter about 2.4 V.  The light of the room pulls too,
    as it falls at that place and moment.
    Each eye has its gain, and in the dark pulls by its offset.  The 20 us of
    rise and fall are left out: one conversion of the ADC takes longer.  What trembles in a
    reading is the room's lamps and the board's converter.
    *Source*: height, Vishay 83760 rev. 1.7 (read); rise and fall, QRE1113
    sheet (read); spot and voltages invented.

    Attributes:
        ambient: Fall of the voltage by the room's light, in V, where it is as the table's mean.
    """

    roles: ClassVar[tuple[str, ...]] = tuple(SIDEWAYS)

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self.amps = 4 * 0.010  # four infrared lamps that are always on (invented)
        self.ambient = _AMBIENT
        self._light = _DROP * relative_light(HEIGHT_MM)

    def volts(self, role: str, around: Surroundings) -> float:
        """Give an eye's voltage now: high over dark, low over light."""
        x, y, heading, floor = around.x, around.y, around.heading, around.floor
        c, s, side = math.cos(heading), math.sin(heading), SIDEWAYS[role]
        bow_x, bow_y, shade = x + c * AHEAD, y + s * AHEAD, 0.0
        even = around.even(bow_x - s * side, bow_y + c * side, _SPOT)
        if even is not None:
            shade = _all_over(even)
        else:
            for ahead, aside, share in _POINTS[role]:
                shade += share * floor(x + c * ahead - s * aside, y + s * ahead + c * aside)
        eye = _NUMBER[role]
        room = self.ambient * around.lit(bow_x, bow_y)
        pulled = self.quirks.eye_gain[eye] * (self._light * shade + room)
        volts = _SUPPLY - self.quirks.eye_offset[eye] - pulled
        return min(max(volts, _LEAST_VOLTS), _SUPPLY)
