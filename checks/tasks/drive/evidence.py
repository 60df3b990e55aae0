"""Thin: the names that lessons still in the old shape take from here; it goes with the last."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import Recording

from ...task import Facts, Mistake
from .. import motors
from ..motors import percent

__all__ = ["never_driven", "percent", "wrong_scale"]


def _words(known: Mistake, recordings: Sequence[Recording]) -> str | None:
    clue = known.evidence(Facts(recordings))
    return clue.words if clue else None


def never_driven(recordings: Sequence[Recording]) -> str | None:
    """Give the evidence of `motors.never_driven`."""
    return _words(motors.never_driven, recordings)


def wrong_scale(recordings: Sequence[Recording]) -> str | None:
    """Give the evidence of `motors.wrong_scale`."""
    return _words(motors.wrong_scale, recordings)
