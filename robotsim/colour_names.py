"""Colour names: what a lamp's colour is called, in every picture, sentence and check alike.

A colour is told by where it lies in the CIE's uniform chromaticity diagram (u', v'): white is what
lies near the point of equal numbers, every other name has a range of hue, the angle about that
point.

*Source*: chromaticity coordinates u', v', hue angle and distance as in CIE 15 (ISO/CIE 11664-5),
primaries and white of IEC 61966-2-1 (both from memory).  That the lamps' primaries are a screen's
is an approximation; the limits of the named colours are our own.
"""

from __future__ import annotations

import math
from typing import NamedTuple

__all__ = ["Colour", "chromaticity", "colour_name", "hue_angle", "tristimulus"]

Colour = tuple[int, int, int]
"""Red, green, blue, 0 to 255 each."""

_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
"""IEC 61966-2-1: light of the three primaries to the CIE's X, Y and Z."""


class Region(NamedTuple):
    """A named colour: a range of hue, and how far from white it has to be.

    Attributes:
        name: Its name.
        until: Where its range of hue ends, in degrees; it begins where the one before it ends.
        least: Least distance from white in (u', v'); nearer to it the colour is a pale one.
    """

    name: str
    until: float
    least: float


_WHITE_WITHIN = 0.027
"""Distance from the point of equal numbers. It holds whatever has no number below seven tenths of
its largest, and not (150, 50, 50)."""
REGIONS = (
    Region("red", 25.0, 0.12),
    Region("amber", 74.0, 0.06),
    Region("yellow", 100.0, 0.05),
    Region("yellowish green", 112.0, 0.05),
    Region("green", 146.0, 0.06),
    Region("cyan", 230.0, 0.04),
    Region("blue", 278.0, 0.06),
    Region("violet", 312.0, 0.035),
    Region("pink", 345.0, 0.05),
    Region("red", 360.0, 0.12),
)
"""All hues, in order. Red with a fifth to three quarters as much green is amber, with more it is
yellow; (238, 130, 238), the violet of named screen colours, is violet."""


def tristimulus(colour: Colour) -> tuple[float, float, float]:
    """Give the CIE's X, Y and Z of a lamp, for 255 each 255 times those of the white."""
    x, y, z = (sum(a * b for a, b in zip(row, colour, strict=True)) for row in _TO_XYZ)
    return x, y, z


def chromaticity(colour: Colour) -> tuple[float, float]:
    """Give (u', v') of a lamp that is lit."""
    x, y, z = tristimulus(colour)
    whole = x + 15 * y + 3 * z
    return 4 * x / whole, 9 * y / whole


_WHITE_POINT = chromaticity((255, 255, 255))


def _from_white(colour: Colour) -> tuple[float, float]:
    u, v = chromaticity(colour)
    return u - _WHITE_POINT[0], v - _WHITE_POINT[1]


def hue_angle(colour: Colour) -> float:
    """Give the CIE 1976 hue angle of a lamp that is lit, 0 to 360 degrees."""
    u, v = _from_white(colour)
    return math.degrees(math.atan2(v, u)) % 360


def colour_name(colour: Colour) -> str:
    """Give a colour's name: `white`, `amber`, `pale red`, ..., or `dark`."""
    if not any(colour):
        return "dark"
    distance = math.hypot(*_from_white(colour))
    if distance <= _WHITE_WITHIN:
        return "white"
    hue = hue_angle(colour)
    region = next(region for region in REGIONS if hue < region.until)
    return region.name if distance >= region.least else f"pale {region.name}"
