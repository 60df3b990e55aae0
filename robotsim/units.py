"""Units: the few conversions the kit needs, so that no magic factor stands in other code.

Inside the kit every quantity is in SI units, angles in radians, and the clock
in whole nanoseconds.  A name says so where it is otherwise (`width_mm`).
"""

from __future__ import annotations

import math

__all__ = ["GRAVITY", "MS", "SECOND", "US", "deg", "ns", "rad", "seconds", "wrap"]

US = 1_000
"""Nanoseconds in a microsecond."""
MS = 1_000_000
"""Nanoseconds in a millisecond."""
SECOND = 1_000_000_000
"""Nanoseconds in a second."""
GRAVITY = 9.80665
"""Standard gravity in m/s^2 (BIPM SI brochure, 9th ed.; from memory)."""


def ns(duration_s: float) -> int:
    """Give a duration in seconds as whole nanoseconds."""
    return round(duration_s * SECOND)


def seconds(time_ns: int) -> float:
    """Give a time in nanoseconds as seconds."""
    return time_ns / SECOND


def deg(angle: float) -> float:
    """Give an angle in radians as degrees."""
    return math.degrees(angle)


def rad(angle_deg: float) -> float:
    """Give an angle in degrees as radians."""
    return math.radians(angle_deg)


def wrap(angle: float) -> float:
    """Bring an angle in radians into the range from -pi (not included) to pi."""
    turned = math.remainder(angle, math.tau)
    return math.pi if turned == -math.pi else turned
