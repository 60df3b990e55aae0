"""Rest: whether the motors are off at the end of a trial, and the tug stands."""

from __future__ import annotations

from robotsim import Recording

from ..words import listed
from .motion import SIDES, still_braked, still_driven

__all__ = ["busy", "sides_named"]


def sides_named(sides: list[str]) -> str:
    """Name one motor or both."""
    return "both motors" if len(sides) == len(SIDES) else f"the {listed(sides)} motor"


def busy(recording: Recording) -> str:
    """Tell which motors are not off at the end: off is neither driven nor braked; "" if all are."""
    for sides, how in ((still_driven(recording), "driven"), (still_braked(recording), "braked")):
        if sides:
            return f"{sides_named(sides)} still {how} at the end"
    return ""
