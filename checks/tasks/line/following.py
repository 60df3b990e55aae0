"""What the tasks that follow a line have in common: how far it came, how close it kept, its end."""

from __future__ import annotations

from ...readings.line import LOST, UNDER_WAY, junction
from ...readings.motion import at_rest
from ...readings.rest import busy
from ...task import Clues, Criterion, Evidence, Finding, Mistake, share
from ..trials import judged, known
from . import eyes, steering
from .trial import Trial

__all__ = [
    "ASKED_FROM", "ASKED_WAY", "BY_THE_WAY", "START", "at_junction", "came", "close", "covered",
    "goes_all_the_way", "stopped", "stops_at_junction",
]  # fmt: skip

LEAST_M = 0.3
"""Way along the line that may be luck, in m."""
ASKED_WAY = (
    f"the middle of the row of eyes never more than {1000 * LOST:.0f} mm off it; a tug that loses "
    f"it gets points for the way beyond the first {LEAST_M:g} m, none if no eye was read"
)
ASKED_FROM = f"from {100 * UNDER_WAY:.0f} cm along the line on"
"""Where following has begun; what is before, the swings of calibrating too, does not count."""
BY_THE_WAY = "counts by the share of the way that it came"
_NO_WAY = "did not get under way"
_AT_JUNCTION = 0.05
"""So near to the junction, in m, a tug that stopped has stopped at it."""
_BESIDE = 0.007
"""The row of eyes so far off the line, in m, all four may be dark at a junction: the outer eye
stands 18 mm from the middle, the line's edge 9 mm, and the spot is 4 mm across."""


def came(one: Trial) -> str:
    """Tell how far along the line it came before the line was lost."""
    went = one.went
    if went.end is not None:
        return f"came all of the {went.goal:.2f} m"
    far = f"{went.share * went.goal:.2f} of {went.goal:.2f} m"
    return f"lost the line after {far}" if went.lost is not None else f"came {far}"


def covered(one: Trial, goal: float | None = None) -> float:
    """Give the share of the way, or one of so many m, that was followed and not come by luck."""
    if not any(one.counts):
        return 0.0
    goal = goal or one.went.goal
    far = one.went.share * one.went.goal
    return min(max(0.0, far - LEAST_M) / (goal - LEAST_M), 1.0)


def goes_all_the_way(title: str, points: float, asks: str) -> Criterion:
    """Make the criterion of the way along the line: its share counts, from `LEAST_M` on."""

    def judge(one: Trial) -> Finding:
        went = one.went
        part = covered(one) if went.end is not None else min(0.95, covered(one))
        at = went.t[went.lost] if went.lost is not None else None
        return Finding(part, came(one), at=at)

    asks += f", calibrating included, {ASKED_WAY}"
    return Criterion(title, points, judged(judge), essential=True, asks=asks)


def close(title: str, points: float, full: float, none: float) -> Criterion:
    """Make the criterion of the greatest distance from the line, in m."""

    def judge(one: Trial) -> Finding:
        went = one.went
        if went.begin is None:
            return Finding(0.0, _NO_WAY)
        k = went.widest
        off = abs(went.aside[k])
        side = "port" if went.aside[k] > 0 else "starboard"
        return Finding(
            share(off, full=full, none=none) * covered(one),
            f"the row of eyes was up to {1000 * off:.0f} mm to {side} of it",
            at=went.t[k],
        )

    asks = f"the middle of the row of eyes within {1000 * full:.0f} mm of the line, {ASKED_FROM}; "
    asks += BY_THE_WAY
    return Criterion(title, points, judged(judge), asks=asks)


def stopped(one: Trial) -> Finding:
    """Judge whether the tug stands at the end, its motors neither driven nor braked."""
    if on := busy(one.recording):
        return Finding(0.0, on)
    if not at_rest(one.recording):
        return Finding(0.0, "still moving at the end")
    return Finding(1.0, "at rest, motors off")


def stops_at_junction(one: Trial) -> Clues:
    """Tell of a stop at the junction."""
    where, went = junction(one.went.table), one.went
    if where is None or not at_rest(one.recording) or went.end is not None:
        return
    off, aside = abs(went.gone[-1] - where), abs(went.aside[-1])
    if off >= _AT_JUNCTION:
        return
    words = f"it stopped {1000 * off:.0f} mm from the junction, "
    if aside < _BESIDE:
        yield words + "where only the eyes of one side and the middle are dark"
    else:
        yield Evidence(
            words + f"{1000 * aside:.0f} mm aside of the line, where the fourth eye may see it too",
            "come to the junction in the middle of the line: steer more for the same error, or let "
            "the effort be more even; only then are no more than three eyes dark there.",
        )


at_junction = known(
    "the junction is taken for the bar",
    "at the junction the eyes of one side and the middle are dark; a bar darkens all four.",
)(stops_at_junction)


START: tuple[Mistake, ...] = (
    *eyes.READING, *eyes.DRIVING, eyes.one_side_back, steering.stands, steering.too_weak,
    eyes.no_sleep, eyes.read_once, eyes.spins_on,
)  # fmt: skip
"""Looked for first: with any of these nothing else can be told."""
