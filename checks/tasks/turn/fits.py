"""Fits: how printed rates follow from the bytes that were read."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording
from robotsim.recording import once

from ...readings.sensors import Sample
from .rate import TURNING, Compared, compared

__all__ = ["EXACT", "Fit", "fitted", "made", "shown"]


class Fit(NamedTuple):
    """Printed = slope x number + offset, and how much of the printed it leaves unexplained."""

    slope: float
    offset: float
    rest: float


def _fit(xs: Sequence[float], ys: Sequence[float]) -> Fit | None:
    if len(xs) < 6 or statistics.pstdev(xs) == 0 or statistics.pstdev(ys) == 0:
        return None
    slope, offset = statistics.linear_regression(xs, ys)
    rest = [y - slope * x - offset for x, y in zip(xs, ys, strict=True)]
    return Fit(slope, offset, statistics.pstdev(rest) / statistics.pstdev(ys))


EXACT = 0.03
"""A fit that leaves no more unexplained than this tells how the number was made."""


@once
def fitted(recording: Recording, what: Callable[[Sample], float]) -> Fit | None:
    """Tell how the printed rates follow from a number made of each reading's bytes.

    Tried with the last reading before each line, and with the mean of all since the line before.
    """
    lines = [c for c in compared(recording) if c.recent]
    ys = [c.printed for c in lines]
    last = _fit([what(c.sample) for c in lines], ys)
    mean = _fit([statistics.fmean(map(what, c.recent)) for c in lines], ys)
    return min((fit for fit in (last, mean) if fit), key=lambda fit: fit.rest, default=None)


def _rate(sample: Sample) -> float:
    return sample.rate


def made(recording: Recording) -> Fit | None:
    """Give (printed deg/s for each deg/s read, printed at a reading of 0), if it is so made."""
    fit = fitted(recording, _rate)
    return fit if fit and fit.rest < EXACT else None


def shown(lines: Sequence[Compared]) -> str:
    """Give a line as an example, one while it turned if there is any."""
    moving = [c for c in lines if abs(c.true) > TURNING] or list(lines)
    where = moving[len(moving) // 2]
    return f"printed {where.printed:.4g} where it turned at {where.true:.1f} deg/s"
