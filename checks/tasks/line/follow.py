"""Task `line.follow`: the wavy line, fast and smooth."""

from __future__ import annotations

from ...readings.motion import still_driven
from ...readings.rest import sides_named
from ...task import Clues, Criterion, Finding, Run, Task, share
from ...words import told_apart
from ..trials import judged, known
from . import steering, weaving
from .following import (
    ASKED_FROM,
    BY_THE_WAY,
    START,
    at_junction,
    close,
    covered,
    goes_all_the_way,
    stops_at_junction,
)
from .trial import Line, Trial, bound

__all__ = ["FOLLOW"]

SECONDS = 20.0
FAST, SLOW = 0.25, 0.08
"""Mean speed in m/s that earns all, and nothing."""
SMOOTH, ROUGH = 25.0, 200.0
"""Degrees a metre beyond the line's own that earn all, and nothing."""
NEAR_LINE, FAR_OFF = 0.025, 0.045
"""So far off the line, in m, earns all, and nothing."""
_NO_WAY = Finding(0.0, "did not get under way")

goes_there = goes_all_the_way(
    "It follows the wave to the stop bar", 4, f"to the first stop bar within {SECONDS:.0f} s"
)
keeps = close("It keeps close to the line", 2, NEAR_LINE, FAR_OFF)


def _fast(one: Trial) -> Finding:
    went = one.went
    if went.begin is None or went.seconds <= 0:
        return _NO_WAY
    speed = went.metres / went.seconds
    return Finding(
        share(FAST - speed, full=0.0, none=FAST - SLOW) * covered(one),
        f"{went.metres:.2f} m in {went.seconds:.1f} s, {told_apart(speed, FAST)} m/s",
    )


def _smooth(one: Trial) -> Finding:
    went = one.went
    if went.begin is None:
        return _NO_WAY
    return Finding(
        share(went.weaving, full=SMOOTH, none=ROUGH) * covered(one),
        f"turned {told_apart(went.weaving, SMOOTH, 0)} degrees a metre more than the line does",
    )


fast = Criterion(
    "It is fast", 3, judged(_fast),
    asks=f"{FAST:.2f} m/s or more on average, timed {ASKED_FROM} up to the stop bar; a tug that "
    f"does not get there, up to where it lost the line or to the end of the {SECONDS:.0f} s; "
    f"{BY_THE_WAY}",
)  # fmt: skip
smooth = Criterion(
    "It is smooth", 3, judged(_smooth),
    asks=f"at most {SMOOTH:.0f} degrees a metre of turning to and fro beyond the line's own, "
    f"{ASKED_FROM}: the swings of calibrating do not count; {BY_THE_WAY}",
)  # fmt: skip


@known(
    "motors left on",
    "end with lines that stop both motors: PWM goes on after the program has ended.",
    costs=[goes_there], explains=[fast, smooth, keeps],
)  # fmt: skip
def left_on(one: Trial) -> Clues:
    if one.finished and (sides := still_driven(one.recording)):
        yield f"the program ended at {one.ended_s:.2f} s, and {sides_named(sides)} still driven"


@known(
    "on/off steering where proportion was asked",
    "steer by how far the line is off, not only to which side: `steer = KP * position`.",
    explains=[goes_there, fast, smooth, keeps],
)
def on_off(one: Trial) -> Clues:
    some = weaving.kinds(one.went)
    if one.went.metres > 0.2 and 2 <= len(some) <= 3:
        told = ", ".join(f"{100 * kind:+.0f} %" for kind in sorted(some))
        yield f"right less left was always one of {told}, however far the line was off"


def _pace(one: Trial) -> float:
    """Give the mean speed in m/s until the line's end, or that of the program."""
    went = one.went
    begin, end = went.t[went.span[0]], went.t[went.last]
    driven = min(end, one.ended_s) - begin if one.finished else end - begin
    return went.metres / driven if driven > 0 else 0.0


@known(
    "effort too low",
    "drive both wheels harder, a little more each time, as long as it stays smooth.",
    costs=[fast], explains=[goes_there],
)  # fmt: skip
def crawls(one: Trial) -> Clues:
    went, pace = one.went, _pace(one)
    if went.lost is None and went.metres > 0.5 and pace < FAST - 0.01:
        effort = max(went.drive[k] for k in went.span)
        yield f"under way it made {pace:.2f} m/s, with a mean effort of at most {effort:.2f}"


@known(
    "the program ends too soon",
    "let the eyes end the loop, at the bar where all four are dark, no clock and no count.",
    costs=[goes_there], explains=[fast, smooth, keeps],
)  # fmt: skip
def ends_early(one: Trial) -> Clues:
    # A quarter of the points is for speed: a tug that is slow, too, may lose more by that.
    slow = 1 - share(FAST - _pace(one), full=0.0, none=FAST - SLOW)
    if 1 - one.went.share > slow / 4 and not any(stops_at_junction(one)):
        yield from steering.stopped_on_its_way(one)


_EVERY = (goes_there, fast, smooth, keeps)

FOLLOW = Task(
    id="line.follow",
    title="The wavy line, fast and smooth",
    program="follow.py",
    runs=(Run(SECONDS, "channel"), Run(SECONDS, "channel", seed=9)),
    criteria=_EVERY,
    mistakes=(
        *START, steering.steers_little, *steering.AWAY, on_off, left_on,
        *bound(weaving.ROUGHLY, costs=[smooth], explains=_EVERY),
        *bound([steering.gain_low, steering.astray], explains=_EVERY),
        *bound([steering.biased], explains=[goes_there, keeps]),
        crawls, *bound([at_junction], costs=[goes_there], explains=[smooth, keeps]), ends_early,
    ),
    facts=Line,
)  # fmt: skip
"""Twelve points."""
