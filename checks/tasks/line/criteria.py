"""Tasks of the lesson `line`: calibrate, on/off steering, the wavy line, stop at the bar."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from robotsim import Recording
from robotsim.table import stop_bars

from ...readings.line import SEEN, Course, course, looks, true_counts
from ...readings.motion import at_rest, still_driven
from ...task import Criterion, Finding, Run, Task, share
from . import eyes as seen
from . import mistakes as known

__all__ = ["TASKS"]

Recordings = Sequence[Recording]


def _mm(metres: float) -> str:
    return f"{1000 * abs(metres):.0f} mm"


def _where(recordings: Recordings, trial: int) -> str:
    """Name a trial as a learner can run it again: "with seed=4: "."""
    one = recordings[trial]
    if one.seed == 0:
        return "on the lesson's table: "
    tug = "" if one.serial == recordings[0].serial else f", serial={one.serial}"
    return f"with seed={one.seed}{tug}: "


def _worst(
    recordings: Recordings, judge: Callable[[Course], tuple[float, str, float | None]], asked: str
) -> Finding:
    """Judge each trial by its course, and tell the worst."""
    found = [judge(course(recording)) for recording in recordings]
    trial = min(range(len(found)), key=lambda k: found[k][0])
    part, measured, at = found[trial]
    mean = sum(got for got, _, _ in found) / len(found)
    return Finding(mean, _where(recordings, trial) + measured, asked, at, trial)


# -- line.calibrate ----------------------------------------------------------

OTHER_TUG = 30
"""A tug whose eyes differ much: what was read on one's own will not do for it."""
_NEAR, _FAR = 60.0, 300.0
"""Counts off the truth that still earn all, and that earn nothing."""


def _every_eye(recordings: Recordings) -> Finding:
    asked = "each of the four eyes, over the paper and over the line"
    got, told, trial = 0.0, "all four eyes were over both", 0
    for k, recording in enumerate(recordings):
        truth = true_counts(recording.table, recording.seed, recording.serial)
        for eye in range(4):
            counts = [look.value for look in looks(recording, eye)]
            over = [
                bool(counts) and min(counts) < truth.white[eye] + _NEAR,
                bool(counts) and max(counts) > truth.black[eye] - _NEAR,
            ]
            # An eye that stands still sees one of the two: that is no calibrating.
            got += all(over) / (4 * len(recordings))
            if not all(over) and told.startswith("all"):
                what = (
                    "was never read" if not counts
                    else f"read {min(counts)} to {max(counts)}, over paper and line it reads "
                    f"{truth.white[eye]:.0f} and {truth.black[eye]:.0f}"
                )  # fmt: skip
                told, trial = f"{_where(recordings, k)}eye {eye} {what}", k
    return Finding(got, told, asked, None, trial)


def _reports(colour: str) -> Callable[[Recordings], Finding]:
    def judge(recordings: Recordings) -> Finding:
        asked = f"each eye's own count over {_GROUND[colour]}, within {_NEAR:.0f}"
        got, worst, told, trial = 0.0, -1.0, "", 0
        for k, recording in enumerate(recordings):
            truth = getattr(true_counts(recording.table, recording.seed, recording.serial), colour)
            reported = seen.reported(recording)
            for eye in range(4):
                if eye not in reported:
                    off, words = _FAR, f"no line `eye {eye} white ... black ...` was printed"
                else:
                    number = getattr(reported[eye], colour)
                    off = abs(number - truth[eye])
                    words = f"eye {eye} reported as {number:g}, it reads {truth[eye]:.0f}"
                    if not seen.was_read(recording, eye, number):
                        off, words = _FAR, words + " (and never read what was reported)"
                got += share(off, full=_NEAR, none=_FAR) / (4 * len(recordings))
                if off > worst:
                    worst, told, trial = off, _where(recordings, k) + words, k
        return Finding(got, told, asked, None, trial)

    return judge


_GROUND = {"white": "the paper", "black": "the line"}


def _back_on_line(recordings: Recordings) -> Finding:
    asked = "at rest, motors off, the line still beneath the eyes"
    good, told, trial = 0, "at rest, the line beneath the eyes", 0
    for k, recording in enumerate(recordings):
        aside = abs(course(recording).aside[-1])
        sides = still_driven(recording)
        if sides:
            words = f"{seen.motors(sides)} still driven at the end"
        elif not at_rest(recording):
            words = "still moving at the end"
        elif aside > SEEN:
            words = f"the row of eyes ended {_mm(aside)} off the line"
        else:
            good += 1
            continue
        told, trial = _where(recordings, k) + words, k
    return Finding(good / len(recordings), told, asked, None, trial)


CALIBRATE = Task(
    id="line.calibrate",
    title="Calibrate the eyes",
    program="calibrate.py",
    runs=(Run(8.0, "quay"), Run(8.0, "quay", seed=4, serial=OTHER_TUG)),
    criteria=(
        Criterion("Every eye sees paper and line", 2, _every_eye, essential=True),
        Criterion("It reports the four counts of white", 2.5, _reports("white")),
        Criterion("It reports the four counts of black", 2.5, _reports("black")),
        Criterion("It stands on the line again", 1, _back_on_line),
    ),
    mistakes=known.CALIBRATE,
)


# -- following ---------------------------------------------------------------


def _came(went: Course) -> str:
    far = went.share * went.goal
    if went.end is not None:
        return f"came all of the {went.goal:.2f} m"
    if went.lost is not None:
        return f"lost the line after {far:.2f} of {went.goal:.2f} m"
    return f"came {far:.2f} of {went.goal:.2f} m"


def _stays(least: float) -> Callable[[Recordings], Finding]:
    """Judge how far it came before the line was lost; less than `least` m is nothing."""

    def one(went: Course) -> tuple[float, str, float | None]:
        far = went.share * went.goal
        part = 1.0 if went.end is not None else min(0.95, went.share)
        at = went.t[went.lost] if went.lost is not None else None
        return (part if far >= least else 0.0), _came(went), at

    asked = "all the way, the line never lost"
    return lambda recordings: _worst(recordings, one, asked)


def _close(full: float, none: float) -> Callable[[Recordings], Finding]:
    def one(went: Course) -> tuple[float, str, float | None]:
        if went.begin is None:
            return 0.0, "did not get under way", None
        k = went.widest
        part = share(abs(went.aside[k]), full=full, none=none) * went.share
        side = "port" if went.aside[k] > 0 else "starboard"
        return part, f"the row of eyes was up to {_mm(went.aside[k])} to {side} of it", went.t[k]

    asked = f"within {_mm(full)} of the line"
    return lambda recordings: _worst(recordings, one, asked)


def _stopped(recordings: Recordings) -> Finding:
    asked = "at rest, motors not driven, when the time is up"
    good, told, trial = 0, "at rest, motors off", 0
    for k, recording in enumerate(recordings):
        if at_rest(recording):
            good += 1
        else:
            sides = still_driven(recording)
            words = f"{seen.motors(sides)} still driven" if sides else "still moving"
            told, trial = _where(recordings, k) + words, k
    return Finding(good / len(recordings), told, asked, None, trial)


def _stopped_after(recordings: Recordings) -> Finding:
    """Judge the stop at the end of a round: worth as much as the way to it."""
    found = _stopped(recordings)
    ways = [course(recording) for recording in recordings]
    worst = min(range(len(ways)), key=lambda k: ways[k].share)
    if ways[worst].share == 1.0:
        return found
    told = f"{found.measured}; {_where(recordings, worst)}{_came(ways[worst])}"
    mean = sum(way.share for way in ways) / len(ways)
    return replace(found, share=found.share * mean, measured=told)


_ON_OFF_ASIDE = 0.025

ONOFF = Task(
    id="line.onoff",
    title="On and off",
    program="onoff.py",
    runs=(Run(30.0, "quay"), Run(30.0, "quay", seed=4)),
    criteria=(
        Criterion("It goes round the quay", 4, _stays(0.3), essential=True),
        Criterion("It keeps to the line", 3, _close(_ON_OFF_ASIDE, 0.06)),
        Criterion("It stops at the end", 1, _stopped_after),
    ),
    mistakes=known.ONOFF,
)


# -- line.follow -------------------------------------------------------------

FAST, SLOW = 0.25, 0.08
SMOOTH, ROUGH = 25.0, 200.0
NEAR_LINE = 0.025


def _fast(recordings: Recordings) -> Finding:
    def one(went: Course) -> tuple[float, str, float | None]:
        if went.begin is None or went.seconds <= 0:
            return 0.0, "did not get under way", None
        speed = went.metres / went.seconds
        part = share(FAST - speed, full=0.0, none=FAST - SLOW) * went.share
        return part, f"{went.metres:.2f} m in {went.seconds:.1f} s, {speed:.2f} m/s", None

    return _worst(recordings, one, f"to the stop bar at {FAST:.2f} m/s or more on average")


def _smooth(recordings: Recordings) -> Finding:
    def one(went: Course) -> tuple[float, str, float | None]:
        if went.begin is None:
            return 0.0, "did not get under way", None
        beyond = went.weaving
        part = share(beyond, full=SMOOTH, none=ROUGH) * went.share
        return part, f"turned {beyond:.0f} degrees a metre more than the line does", None

    return _worst(recordings, one, f"at most {SMOOTH:.0f} degrees a metre of turning to and fro")


FOLLOW = Task(
    id="line.follow",
    title="The wavy line, fast and smooth",
    program="follow.py",
    runs=(Run(20.0, "channel"), Run(20.0, "channel", seed=9)),
    criteria=(
        Criterion("It follows the wave to the stop bar", 4, _stays(0.3), essential=True),
        Criterion("It is fast", 3, _fast),
        Criterion("It is smooth", 3, _smooth),
        Criterion("It keeps close to the line", 2, _close(NEAR_LINE, 0.045)),
    ),
    mistakes=known.FOLLOW,
)


# -- line.stop ---------------------------------------------------------------

STOP_FULL, STOP_NONE = 0.020, 0.09


def _gets_there(recordings: Recordings) -> Finding:
    """Judge the way to just before the bar, whatever comes after."""

    def one(went: Course) -> tuple[float, str, float | None]:
        there = went.goal - STOP_FULL
        far = min(went.share * went.goal, there)
        part = share(1 - far / there, full=0.0, none=0.8)
        at = went.t[went.lost] if went.lost is not None else None
        words = "came to the bar" if far >= there else _came(went) + " to the bar"
        return part, words, at

    return _worst(recordings, one, "along the line to the first stop bar")


def _at_bar(recordings: Recordings) -> Finding:
    def one(went: Course) -> tuple[float, str, float | None]:
        past = went.gone[-1] - went.goal
        lost = went.lost is not None
        part = 0.0 if lost or not went.share else share(abs(past), full=STOP_FULL, none=STOP_NONE)
        if lost:
            return part, "lost the line", went.t[went.lost or 0]
        way = "past" if past > 0 else "short of"
        words = f"the row of eyes ended {_mm(past)} {way} the bar's middle"
        bars = stop_bars(went.table)
        if len(bars) > 1 and abs(past - (bars[1] - bars[0])) < 0.05:
            words += ", at the second bar"
        return part, words, None

    return _worst(recordings, one, f"the eyes within {_mm(STOP_FULL)} of the bar's middle")


STOP = Task(
    id="line.stop",
    title="Stop at the bar",
    program="stop.py",
    runs=(Run(25.0, "channel"), Run(25.0, "channel", seed=10)),
    criteria=(
        Criterion("It follows the line to the bar", 2, _gets_there, essential=True),
        Criterion("It stops at the bar", 4, _at_bar),
        Criterion("The motors are off", 2, _stopped),
    ),
    mistakes=known.STOP,
)

TASKS: tuple[Task, ...] = (CALIBRATE, ONOFF, FOLLOW, STOP)
