"""Thin: the names that lessons still in the old shape take from here; it goes with the last."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from robotsim import Recording

from ...words import named_trials, trial_name
from ..motors import motor_names

__all__ = ["first_of", "motors", "which"]

motors, which = motor_names, trial_name


def first_of(
    look: Callable[[Recording], str | None], recordings: Sequence[Recording]
) -> str | None:
    """Give the first evidence in any of the recordings, with the tug's name."""
    for name, recording in named_trials(recordings):
        if evidence := look(recording):
            return name + evidence
    return None
