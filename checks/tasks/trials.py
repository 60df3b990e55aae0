"""Trials: what several recordings of a task earn together, and what they are called on a card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from robotsim import Recording

from ..task import Finding

__all__ = ["together", "where"]


def where(recordings: Sequence[Recording], trial: int) -> str:
    """Name a trial as a learner can run it again: "with seed=4: "; "" if there is only one."""
    one = recordings[trial]
    if len(recordings) == 1:
        return ""
    if one.seed == 0:
        return "on the lesson's table: "
    tug = "" if one.serial == recordings[0].serial else f", serial={one.serial}"
    return f"with seed={one.seed}{tug}: "


def together(recordings: Sequence[Recording], findings: Sequence[Finding]) -> Finding:
    """Give the mean of what the trials earn, in the words of the worst."""
    trial = min(range(len(findings)), key=lambda k: findings[k].share)
    worst = findings[trial]
    mean = sum(found.share for found in findings) / len(findings)
    return replace(
        worst, share=mean, measured=where(recordings, trial) + worst.measured, trial=trial
    )
