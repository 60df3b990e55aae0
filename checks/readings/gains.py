"""Gains: by which law a program steered, worked out from what its eyes read and its motors got."""

from __future__ import annotations

import bisect
import math
from typing import NamedTuple

from robotsim import Recording
from robotsim.parts.reflectance import SIDEWAYS
from robotsim.recording import once

from .line import course, looks, true_counts

__all__ = ["Law", "law"]

_SEEN, _SIDE_LINE = 0.3, 2.2
"""Below so much dark in all no eye sees the line; above so much it is more than a line."""
_LATER_S = 0.012
"""So long after a look the motors got what the program made of it."""
_FULL = 0.98
"""A duty above this may have been cut."""
_LEAST = 15
"""Rounds below which nothing is worked out."""


class Law(NamedTuple):
    """Steering in proportion and with the derivative, as fits best (least squares).

    Attributes:
        kp: Half of what the right motor got more, for each mm that the line lies to port.
        kd: The same for each mm/s by which that grows.
        fit: Share of all steering that this explains, 0 to 1.
        by_rate: Share of the steering (root of the mean square) that comes of the derivative.
    """

    kp: float
    kd: float
    fit: float
    by_rate: float


@once
def law(recording: Recording) -> Law | None:
    """Give the law that fits what a program did while it followed; None if there is too little."""
    rows = _rows(recording)
    if len(rows) < _LEAST:
        return None
    pp = sum(p * p for p, _, _ in rows)
    rr = sum(r * r for _, r, _ in rows)
    pr = sum(p * r for p, r, _ in rows)
    ps = sum(p * s for p, _, s in rows)
    rs = sum(r * s for _, r, s in rows)
    ss = sum(s * s for *_, s in rows)
    det = pp * rr - pr * pr
    if det < 1e-6 * pp * rr or not ss:
        return None
    kp, kd = (rr * ps - pr * rs) / det, (pp * rs - pr * ps) / det
    left = sum((s - kp * p - kd * r) ** 2 for p, r, s in rows)
    slow, quick = abs(kp) * math.sqrt(pp), abs(kd) * math.sqrt(rr)
    return Law(kp, kd, 1.0 - left / ss, quick / (slow + quick) if slow + quick else 0.0)


def _rows(recording: Recording) -> list[tuple[float, float, float]]:
    """Give position (mm), its rate (mm/s) and half the steering of each round of a loop."""
    went = course(recording)
    truth = true_counts(recording.table, recording.seed, recording.serial, recording.day)
    if not went.steering:
        return []
    begin, end = went.t[went.steering[0]], went.t[went.steering[-1]]
    every = [[look for look in looks(recording, eye) if begin <= look.time < end]
             for eye in range(4)]  # fmt: skip
    places = [1000 * SIDEWAYS[f"eye_{eye}"] for eye in range(4)]
    rows, last = [], (-1.0, 0.0)
    for seen in zip(*every, strict=False):
        time = max(look.time for look in seen)
        dark = [
            min(1.0, max(0.0, (look.value - white) / (black - white)))
            for look, white, black in zip(seen, truth.white, truth.black, strict=True)
        ]
        if not _SEEN < sum(dark) < _SIDE_LINE:
            last = (-1.0, 0.0)
            continue
        position = sum(d * place for d, place in zip(dark, places, strict=True)) / sum(dark)
        k = bisect.bisect_right(went.t, time + _LATER_S) - 1
        cut = abs(went.drive[k]) + abs(went.steer[k]) / 2 > _FULL
        if last[0] >= 0 and time > last[0] and not cut:
            rate = (position - last[1]) / (time - last[0])
            rows.append((position, rate, went.steer[k] / 2))
        last = (time, position)
    return rows
