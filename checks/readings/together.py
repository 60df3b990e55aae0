"""Both motors together: for how long a tug was driven ahead, astern, and round."""

from __future__ import annotations

import itertools
from typing import NamedTuple

from robotsim import Recording
from robotsim.recording import once

from .motion import SIDES, motor_phases

__all__ = ["Together", "together"]


class Together(NamedTuple):
    """For how long, in s, both motors were driven at a time: alike, and against each other."""

    ahead: float
    astern: float
    to_port: float
    to_starboard: float


@once
def together(recording: Recording) -> Together:
    """Give for how long both motors were driven at a time, and which way."""
    left, right = (motor_phases(recording, side, 0.0) for side in SIDES)
    times = dict.fromkeys(itertools.product((True, False), repeat=2), 0.0)
    i = j = 0
    while i < len(left) and j < len(right):
        a, b = left[i], right[j]
        if a.duty and b.duty:
            times[a.duty > 0, b.duty > 0] += min(a.end, b.end) - max(a.begin, b.begin)
        i, j = (i + 1, j) if a.end <= b.end else (i, j + 1)
    return Together(
        times[True, True], times[False, False], times[False, True], times[True, False]
    )
