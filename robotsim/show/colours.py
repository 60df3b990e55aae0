"""Colours: one small set for all pictures, how well they can be read, and what lamps look like.

Pure arithmetic without a drawing library, so that words about a recording
need none either.
"""

from __future__ import annotations

from ..colour_names import colour_name

__all__ = [
    "FLOOR",
    "INK",
    "NIGHT",
    "OKABE_ITO",
    "PAPER",
    "QUIET",
    "RGB",
    "RULE",
    "contrast",
    "hexed",
    "lamp_hex",
    "lamp_words",
    "luminance",
    "readable",
]

RGB = tuple[int, int, int]
"""Red, green, blue, 0 to 255 each."""

OKABE_ITO = {
    "black": "#000000",
    "orange": "#E69F00",
    "sky": "#56B4E9",
    "green": "#009E73",
    "yellow": "#F0E442",
    "blue": "#0072B2",
    "vermilion": "#D55E00",
    "purple": "#CC79A7",
}
"""Okabe and Ito's set, which people with the usual colour deficiencies tell apart."""

INK = "#1A1A1A"
"""Text and outlines."""
QUIET = "#595959"
"""Text that should stand back, still above the contrast that WCAG asks of text."""
RULE = "#DCDCDC"
"""Grid lines: meant to be hardly there."""
PAPER = "#FFFFFF"
"""Behind everything."""
FLOOR = "#FAFAF7"
"""The table's white floor, just off the paper so that its edge shows."""
NIGHT = "#161B22"
"""A lamp that is dark."""


def _channels(colour: str) -> RGB:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def hexed(rgb: RGB) -> str:
    """Give a colour as `#RRGGBB`."""
    return "#{:02X}{:02X}{:02X}".format(*rgb)


def luminance(colour: str) -> float:
    """Give the relative luminance of `#RRGGBB`, 0 to 1.

    *Source*: WCAG 2.2, definition of relative luminance.
    """
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (v / 255 for v in _channels(colour))
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours, 1 to 21.

    *Source*: WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05).
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def readable(colour: str, on: str = PAPER, *, at_least: float = 4.5) -> str:
    """Darken (or on a dark ground lighten) a colour until text in it can be read.

    4.5 is what WCAG 2.2, success criterion 1.4.3, asks of text of normal size.
    """
    end = 0 if luminance(on) > 0.18 else 255
    channels = _channels(colour)
    for step in range(41):
        mixed = hexed(tuple(round(c + (end - c) * step / 40) for c in channels))  # type: ignore[arg-type]
        if contrast(mixed, on) >= at_least:
            return mixed
    return hexed((end, end, end))


def lamp_hex(rgb: RGB) -> str:
    """Give the screen colour of a lamp, so that the screen's light grows as the lamp's does.

    *Model*: a lamp's light is in proportion to its number; a screen's is not,
    so the number is encoded for the screen.  A dark lamp is `NIGHT`.
    *Source*: sRGB transfer function, IEC 61966-2-1.
    """
    if rgb == (0, 0, 0):
        return NIGHT
    encoded = (
        12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055
        for c in (v / 255 for v in rgb)
    )
    return hexed(tuple(round(255 * c) for c in encoded))  # type: ignore[arg-type]


def lamp_words(rgb: RGB) -> str:
    """Give a lamp's colour with its brightness where it is not full: `red 20 %`."""
    share = round(max(rgb) / 2.55)
    name = colour_name(rgb)
    return name if share >= 95 or name == "dark" else f"{name} {max(share, 1)} %"
