"""Colour: how light a lamp looks, and how its colour is described.

A lamp's light is in proportion to its number, because the chip switches the diode on and off for
a share of the time; the eye's answer is not.  So light is told as the CIE's lightness.  What a
colour is called, `robotsim.colour_names` says, for pictures and checks alike.
"""

from __future__ import annotations

from robotsim.colour_names import Colour, chromaticity, colour_name, hue_angle, tristimulus

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

DARK: Colour = (0, 0, 0)

_KNEE = (6 / 29) ** 3
_SLOPE = (29 / 3) ** 3
FAINT = 20
"""With no number as great as this a lamp is hardly seen by day (invented)."""


def luminance(colour: Colour) -> float:
    """Give a lamp's luminance, 0 to 1 for full white.

    *Model*: in proportion to each number, the three primaries weighted as on a screen.
    *Source*: weights of IEC 61966-2-1 (sRGB), as in WCAG 2.2.
    """
    return tristimulus(colour)[1] / 255


def lightness(share: float) -> float:
    """Give the lightness L* for a share of the white's luminance: 0 is black, 100 white.

    *Source*: CIE 1976 lightness, CIE ILV 17-23-076 (ISO/CIE 11664-4), read.
    """
    return _SLOPE * share if share <= _KNEE else 116 * share ** (1 / 3) - 16


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
