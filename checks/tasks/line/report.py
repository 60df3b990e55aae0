"""Report: what a program printed of each eye, in the form that the lesson agreed."""

from __future__ import annotations

import re
from typing import NamedTuple

from robotsim import Recording
from robotsim.recording import once

from ...readings.line import EYE_PINS

__all__ = ["Report", "reported"]

_LINE = re.compile(
    r"eye\s*(\d)\D*?white\s*\D?\s*(\d+(?:\.\d+)?)\D+?black\s*\D?\s*(\d+(?:\.\d+)?)", re.IGNORECASE
)


class Report(NamedTuple):
    """What a program printed of one eye."""

    white: float
    black: float


@once
def reported(recording: Recording) -> dict[int, Report]:
    """Give what was printed of each eye in the form agreed; the last line of an eye counts."""
    found: dict[int, Report] = {}
    for _, text in recording.printed:
        for eye, white, black in _LINE.findall(text):
            if int(eye) < len(EYE_PINS):
                found[int(eye)] = Report(float(white), float(black))
    return found
