"""Rest: whether the motors are off at the end of a trial, and the tug stands."""

from __future__ import annotations

from robotsim import Recording

from ..words import listed
from .motion import SIDES, motor_phases, still_driven

__all__ = ["busy", "sides_named", "still_braked"]

_BRAKED = 0.004
"""A smaller share of the time is none."""


def still_braked(recording: Recording) -> list[str]:
    """Give the sides whose motor is braked, and not driven, at the end of the trial."""
    ends = {side: phases[-1] for side in SIDES if (phases := motor_phases(recording, side))}
    return [side for side, last in ends.items() if last.brake > _BRAKED and not last.duty]


def sides_named(sides: list[str]) -> str:
    """Name one motor or both."""
    return "both motors" if len(sides) == len(SIDES) else f"the {listed(sides)} motor"


def busy(recording: Recording) -> str:
    """Tell which motors are not off at the end: off is neither driven nor braked; "" if all are."""
    for sides, how in ((still_driven(recording), "driven"), (still_braked(recording), "braked")):
        if sides:
            return f"{sides_named(sides)} still {how} at the end"
    return ""
