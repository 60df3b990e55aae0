"""Colour: how light a lamp looks, and what its colour is called - the kit's one judgement of both.

A lamp's light is in proportion to its number, because the chip switches the diode on and off for
a share of the time; the eye's answer is not.  So light is told as the CIE's lightness, and colour
by where it lies in the CIE's uniform chromaticity diagram (u', v'): white is what lies near the
point of equal numbers, every other name has a range of hue, the angle about that point.

*Source*: chromaticity coordinates u', v', hue angle and distance as in CIE 15 (ISO/CIE 11664-5),
primaries and white of IEC 61966-2-1 (both from memory).  That the lamps' primaries are a screen's
is an approximation; the limits of the named colours are our own.
"""

from __future__ import annotations

import math
from typing import NamedTuple

__all__ = [
    "DARK",
    "FAINT",
    "Colour",
    "amber",
    "chromaticity",
    "colour_name",
    "colour_seen",
    "described",
    "exchanged",
    "hue_angle",
    "lightness",
    "luminance",
    "violet",
    "white",
]

Colour = tuple[int, int, int]
"""Red, green, blue, 0 to 255 each."""
DARK: Colour = (0, 0, 0)

_TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
"""IEC 61966-2-1: light of the three primaries to the CIE's X, Y and Z."""
_KNEE = (6 / 29) ** 3
_SLOPE = (29 / 3) ** 3
FAINT = 20
"""With no number as great as this a lamp is hardly seen by day (invented)."""


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
    Region("amber", 78.0, 0.06),
    Region("yellow", 100.0, 0.05),
    Region("yellowish green", 112.0, 0.05),
    Region("green", 146.0, 0.06),
    Region("cyan", 230.0, 0.04),
    Region("blue", 278.0, 0.06),
    Region("violet", 312.0, 0.035),
    Region("pink", 345.0, 0.05),
    Region("red", 360.0, 0.12),
)
"""All hues, in order. Red with a fifth to three quarters as much green is amber, (238, 130, 238),
the violet of named screen colours, is violet."""


def luminance(colour: Colour) -> float:
    """Give a lamp's luminance, 0 to 1 for full white.

    *Model*: in proportion to each number, the three primaries weighted as on a screen.
    *Source*: weights of IEC 61966-2-1 (sRGB), as in WCAG 2.2.
    """
    return _tristimulus(colour)[1] / 255


def lightness(share: float) -> float:
    """Give the lightness L* for a share of the white's luminance: 0 is black, 100 white.

    *Source*: CIE 1976 lightness, CIE ILV 17-23-076 (ISO/CIE 11664-4), read.
    """
    return _SLOPE * share if share <= _KNEE else 116 * share ** (1 / 3) - 16


def _tristimulus(colour: Colour) -> tuple[float, float, float]:
    x, y, z = (sum(a * b for a, b in zip(row, colour, strict=True)) for row in _TO_XYZ)
    return x, y, z


def chromaticity(colour: Colour) -> tuple[float, float]:
    """Give (u', v') of a lamp that is lit."""
    x, y, z = _tristimulus(colour)
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


def described(colour: Colour) -> str:
    """Give a colour in words: its name and its numbers, and whether it is hardly seen."""
    name = colour_name(colour)
    return name if name == "dark" else f"{'faint ' * (max(colour) < FAINT)}{name} {colour}"


def colour_seen(colour: Colour) -> str:
    """Give a colour's name as it is seen by day: `dark` for one that is hardly seen."""
    return colour_name(colour) if max(colour) >= FAINT else "dark"


def white(colour: Colour) -> bool:
    """Say whether a colour is white."""
    return colour_name(colour) == "white"


def amber(colour: Colour) -> bool:
    """Say whether a colour is amber."""
    return colour_name(colour) == "amber"


def violet(colour: Colour) -> bool:
    """Say whether a colour is violet."""
    return colour_name(colour) == "violet"


def exchanged(colour: Colour) -> Colour:
    """Give what chips that take the other order make of a colour: red and green exchanged."""
    return colour[1], colour[0], colour[2]
