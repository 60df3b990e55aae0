"""Task `line.stop`: along the line, over the junction, and a stop at the bar."""

from __future__ import annotations

import math

from robotsim.table import stop_bars

from ...readings.motion import SIDES, STILL, at_rest, still_driven
from ...task import Clues, Criterion, Finding, Run, Task, share
from ..trials import judged, known
from . import eyes, steering, weaving
from .following import ASKED_WAY, START, at_junction, came, covered, stopped
from .trial import Line, Trial, bound

__all__ = ["STOP"]

SECONDS = 25.0
NEAR_BAR, FAR_OFF = 0.020, 0.09
"""So far off the bar's middle, in m, earns all, and nothing."""
_OVER = 0.015
"""A stop so far past the bar's middle, in m, was late."""
_RESTED = 0.1
"""A tug that stood for so long, in s, had stopped."""


def _gets_there(one: Trial) -> Finding:
    """Judge the way to just before the bar, whatever comes after."""
    went = one.went
    part = covered(one, went.goal - NEAR_BAR)
    return Finding(
        part,
        "came to the bar" if part == 1.0 else came(one) + " to the bar",
        at=went.t[went.lost] if went.lost is not None else None,
    )


def _past(far: float) -> str:
    return f"{1000 * abs(far):.0f} mm {'past' if far > 0 else 'short of'} the bar's middle"


def _at_bar(one: Trial) -> Finding:
    went = one.went
    if went.lost is not None:
        return Finding(0.0, "lost the line", at=went.t[went.lost])
    past = went.gone[-1] - went.goal
    words = f"the row of eyes ended {_past(past)}"
    bars = stop_bars(went.table)
    if len(bars) > 1 and abs(past - (bars[1] - bars[0])) < 0.05:
        words += ", at the second bar"
    return Finding(share(abs(past), full=NEAR_BAR, none=FAR_OFF) if went.share else 0.0, words)


gets_there = Criterion(
    "It follows the line to the bar", 2, judged(_gets_there), essential=True,
    asks=f"along the line to the first stop bar within {SECONDS:.0f} s, calibrating included, "
    f"{ASKED_WAY}",
)  # fmt: skip
at_bar = Criterion(
    "It stops at the bar", 4, judged(_at_bar),
    asks=f"after {SECONDS:.0f} s the middle of the row of eyes within {1000 * NEAR_BAR:.0f} mm of "
    "the bar's middle",
)  # fmt: skip
motors_off = Criterion(
    "The motors are off", 2, judged(stopped),
    asks=f"after {SECONDS:.0f} s the tug at rest, both motors neither driven nor braked",
)  # fmt: skip


@known(
    "motors left on at the bar", "leaving the loop does not stop the motors: stop both after it.",
    costs=[motors_off], explains=[at_bar, gets_there],
)  # fmt: skip
def left_on(one: Trial) -> Clues:
    if one.finished and still_driven(one.recording):
        yield f"the program ended at {one.ended_s:.2f} s, and {stopped(one).measured}"


def _stood(one: Trial) -> int | None:
    """Give the last sample of the tug's first rest at the bar, long enough to be meant."""
    went, tracks = one.went, one.recording.tracks
    first = None
    for k in range(len(went.t) if went.begin is None else went.begin, len(went.t)):
        still = all(abs(tracks[side][k]) <= STILL for side in SIDES)
        if still and abs(went.gone[k] - went.goal) <= FAR_OFF:
            first = k if first is None else first
        elif first is not None and went.t[k] - went.t[first] >= _RESTED:
            return k - 1
        else:
            first = None
    return None


@known(
    "does not stay at the bar",
    "at the bar the program is over: brake, wait 300 ms, `stop()`, and no line that drives after "
    "that.",
    costs=[at_bar], explains=[motors_off, gets_there],
)  # fmt: skip
def goes_off(one: Trial) -> Clues:
    went, k = one.went, _stood(one)
    most = max(range(len(went.t)), key=went.gone.__getitem__)
    ended = f"it ended {_past(went.gone[-1] - went.goal)}"
    if k is not None and _moved(one, k) > NEAR_BAR:
        yield f"it stood at the bar up to {went.t[k]:.1f} s, and drove off again: {ended}"
    elif went.end is not None and abs(went.gone[most] - went.goal) <= FAR_OFF:
        if went.gone[most] - went.gone[-1] > NEAR_BAR:
            yield f"it was at the bar at {went.t[most]:.1f} s, and drove back: {ended}"


def _moved(one: Trial, k: int) -> float:
    """Give how far the tug was at the end from where it was at a sample, in m."""
    x, y = one.recording.tracks["x"], one.recording.tracks["y"]
    return math.dist((x[k], y[k]), (x[-1], y[-1]))


@known(
    "runs over the bar",
    "ask in every round whether all four eyes are dark, then stop; if the tug is too fast for "
    "the loop, no round sees it: the bar is only 18 mm wide.",
    costs=[at_bar], explains=[motors_off, gets_there],
)  # fmt: skip
def over_bar(one: Trial) -> Clues:
    went = one.went
    if went.end is not None and max(went.gone) - went.goal > FAR_OFF:
        yield f"it went over the bar at {went.t[went.end]:.2f} s and drove on"


@known(
    "stops short of the bar",
    "let the eyes end the way, no clock and no count; over the plain line only the middle eyes "
    "are dark, so ask for all four.",
    costs=[at_bar], explains=[gets_there],
)  # fmt: skip
def stops_early(one: Trial) -> Clues:
    went = one.went
    short = went.goal - went.gone[-1]
    if one.finished and went.begin is None and not still_driven(one.recording):
        yield (
            f"the program ended at {one.ended_s:.2f} s, before the tug had followed the line at all"
        )
    elif at_rest(one.recording) and went.lost is None and short > NEAR_BAR and went.steering:
        yield f"it stopped {short:.2f} m short of the bar, where there is only the line"


@known(
    "brakes too late",
    "drive slower, look more often, and stop in the very round in which the bar is seen.",
    costs=[at_bar],
)
def coasts(one: Trial) -> Clues:
    past = one.went.gone[-1] - one.went.goal
    if one.went.end is not None and at_rest(one.recording) and _OVER < past <= FAR_OFF:
        yield f"it stopped {1000 * past:.0f} mm past the bar's middle"


@known(
    "too slow for the time",
    f"the check ends after {SECONDS:.0f} s: drive both wheels a little harder.",
    costs=[at_bar], explains=[gets_there, motors_off],
)  # fmt: skip
def too_slow(one: Trial) -> Clues:
    went = one.went
    if went.begin is not None and went.lost is None and went.end is None and not one.finished:
        if still_driven(one.recording):
            speed = went.metres / went.seconds if went.seconds > 0 else 0.0
            yield (
                f"it made {speed:.2f} m/s, and was {went.goal - went.gone[-1]:.2f} m from the bar "
                "when the time was up"
            )


_EVERY = (gets_there, at_bar, motors_off)

STOP = Task(
    id="line.stop",
    title="Stop at the bar",
    program="stop.py",
    runs=(Run(SECONDS, "channel"), Run(SECONDS, "channel", seed=10)),
    criteria=_EVERY,
    mistakes=(
        *START, steering.steers_little, *steering.AWAY,
        *bound([at_junction], costs=[at_bar], explains=[gets_there]),
        left_on, *bound([eyes.left_braked], costs=[motors_off]),
        goes_off, over_bar, stops_early, coasts, too_slow,
        *bound([steering.gain_low, *weaving.ROUGHLY, steering.astray], explains=_EVERY),
    ),
    facts=Line,
)  # fmt: skip
"""Eight points."""
