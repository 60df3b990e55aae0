"""Task `powerup.start`: motors off first, hands off, a gentle start, a stop that cannot fail."""

from __future__ import annotations

import functools

from robotsim import Recording
from robotsim.show.targets import PointTarget

from ...readings.motion import (
    SIDES,
    Way,
    at_rest,
    driven,
    motor_phases,
    rolled,
    still_driven,
)
from ...readings.waking import first_drive
from ...task import Facts, Finding, Run, criterion, share
from ...words import amount, listed, told_apart
from .states import BLINKS, blinks, deck_share, off_first

__all__ = ["CRITERIA", "HANDS_OFF", "RUNS", "TARGETS", "SafeStart"]

HANDS_OFF = 3.0
"""For how long no motor may be driven, s."""
FAR, LIMIT = 0.15, 0.80
"""How far it goes at least, m; current in A at which the bench supply of the story gives up
(both invented)."""
DRIVE, EITHER_WAY = 2.0, 0.6
"""For how long it drives, and what is free either way, s."""
STOP_WITHIN = 0.20
"""How soon after a touch the motors are off, s."""
WAKES, CHANGES = 0.3, 0.05
"""From when on the lamp is looked at, and what it may take to change, s."""
RUNS = (
    Run(seconds=9.0, start=(0.20, 0.40, 0.0)),
    Run(seconds=10.0, start=(1.04, 0.40, 0.0)),
    Run(seconds=7.0, start=(1.11, 0.40, 0.0)),
)
"""In open water; a hand's breadth from the wall, and so near that it is met while it starts."""
TARGETS = (PointTarget(0.20 + FAR, 0.40, "at least here", 0.02),)


def touched(recording: Recording) -> float | None:
    """Give when the tug first touched a wall, in s."""
    return next((e.seconds for e in recording.of("touch") if e.data[0] == "wall"), None)


class SafeStart(Facts):
    """What the tug did in open water, and what near the wall."""

    @property
    def open_water(self) -> Recording:
        """The trial in open water."""
        return self.recordings[0]

    @functools.cached_property
    def ahead(self) -> float:
        """How far ahead it came in open water, m."""
        return max(Way.of(self.open_water).ahead)

    @functools.cached_property
    def wheels(self) -> list[float]:
        """How far each wheel rolled in open water, m."""
        return [rolled(self.open_water, side) for side in SIDES]

    @functools.cached_property
    def first_driven(self) -> float | None:
        """When a motor was first driven in any of the trials, s."""
        times = [first_drive(made) for made in self.recordings]
        return min((time for time in times if time is not None), default=None)

    @functools.cached_property
    def driven_for(self) -> float:
        """For how long it drove in open water, s."""
        return max(sum(p.seconds for p in driven(self.open_water, side)) for side in SIDES)

    @property
    def braked_at_end(self) -> bool:
        """Whether a motor is braked at the end in open water, in place of off."""
        return any(motor_phases(self.open_water, side)[-1].braked for side in SIDES)

    @functools.cached_property
    def met_in_open_water(self) -> float | None:
        """When it came to the wall although that was far away, s."""
        return touched(self.open_water)

    @functools.cached_property
    def stops(self) -> list[tuple[float, float, int]]:
        """How long after each touch it was last driven, s; when it touched, s; the trial."""
        found = []
        for trial, made in enumerate(self.recordings[1:], start=1):
            met = touched(made)
            if met is not None:
                ends = [p.end for side in SIDES for p in motor_phases(made, side, 0.0) if p.duty]
                found.append((max(0.0, max(ends, default=met) - met), met, trial))
        return found

    @functools.cached_property
    def call(self) -> tuple[float, str, float]:
        """How well it called after the touch: a share, what was measured, from when on, s."""
        met, made = touched(self.recordings[1]), self.recordings[1]
        if met is None:
            return 0.0, "never came to the wall", 0.0
        return (*blinks(made, met + 1.0, made.seconds), met + 1.0)

    @functools.cached_property
    def called_for_nothing(self) -> bool:
        """Whether it called in open water, where it had met nothing."""
        end = self.open_water.seconds
        return self.met_in_open_water is None and blinks(self.open_water, end - 2.0, end)[0] > 0.5


@criterion("It gets under way", 1, asks=f"at least {FAR:g} m ahead in open water", essential=True)
def gets_under_way(seen: SafeStart) -> Finding:
    part = share(FAR - seen.ahead, full=0.0, none=0.8 * FAR)
    return Finding(part, f"came {told_apart(seen.ahead, FAR)} m ahead")


motors_first = off_first(2)


@criterion(
    "Hands off for three seconds",
    2,
    asks=f"no motor driven, however shortly, in the first {HANDS_OFF:g} s",
)
def hands_off(seen: SafeStart) -> Finding:
    first = seen.first_driven
    if first is None:
        return Finding(0.0, "no motor was ever driven")
    part = share(HANDS_OFF - first, full=0.001, none=HANDS_OFF / 2)
    return Finding(part, f"first driven {told_apart(first, HANDS_OFF)} s after power-up", at=first)


@criterion("It starts gently", 1, asks=f"at most {LIMIT:.2f} A from the cells in open water")
def gentle(seen: SafeStart) -> Finding:
    amps = seen.open_water.tracks["amps"]
    when = seen.open_water.tracks["t"][amps.index(max(amps))]
    part = share(max(amps), full=LIMIT, none=1.1)
    return Finding(part, f"drew up to {told_apart(max(amps), LIMIT)} A", at=when)


@criterion(
    "Its lamp tells the state",
    2,
    asks=f"deck lamp amber from {WAKES:g} s on until it drives, white while it drives",
)
def lamp_tells(seen: SafeStart) -> Finding:
    made = seen.open_water
    begun = first_drive(made) or HANDS_OFF
    waiting = deck_share(made, "amber", WAKES, min(begun, HANDS_OFF) - CHANGES)
    ends = [phase.end for side in SIDES for phase in driven(made, side)]
    moving = deck_share(made, "white", begun + CHANGES, max(ends, default=begun) - CHANGES)
    measured = (
        f"amber for {100 * waiting:.0f} % of the waiting, "
        f"white for {100 * moving:.0f} % of the driving"
    )
    parts = [share(1 - part, full=0.02, none=0.7) for part in (waiting, moving)]
    return Finding(sum(parts) / 2, measured, at=begun)


@criterion(
    "The bumper stops it",
    2,
    asks=f"at the wall, twice: no motor driven any more from {STOP_WITHIN:g} s after the touch on",
)
def bumper_stops(seen: SafeStart) -> Finding:
    if not seen.stops:
        return Finding(0.0, "never came to the wall", trial=1)
    last, met, trial = max(seen.stops)
    measured = f"last driven {told_apart(last, STOP_WITHIN)} s after the touch"
    part = share(last, full=STOP_WITHIN, none=1.0)
    if len(seen.stops) < len(RUNS) - 1:
        return Finding(part / 2, measured + "; in the other trial it never came to the wall",
                       at=met, trial=trial)  # fmt: skip
    return Finding(part, measured, at=met, trial=trial)


@criterion(
    "Then it calls for help",
    1,
    asks=f"from 1 s after the touch to the end the deck lamp {BLINKS}; never in open water",
)
def calls(seen: SafeStart) -> Finding:
    part, measured, since = seen.call
    if part and seen.called_for_nothing:
        return Finding(part / 2, "it called in open water too")
    return Finding(part, measured, at=since or None, trial=1)


@criterion(
    "It drives for about two seconds and stops",
    1,
    asks=f"in open water driven for {DRIVE - EITHER_WAY:g} to {DRIVE + EITHER_WAY:g} s, clear of "
    f"the wall; at rest at the end at {RUNS[0].seconds:g} s, motors off: neither driven nor braked",
)
def stops(seen: SafeStart) -> Finding:
    made, end = seen.open_water, seen.open_water.seconds
    if still_driven(made):
        which = listed(still_driven(made))
        return Finding(0.0, f"still driven at the end: {which}", at=end)
    if seen.met_in_open_water is not None:
        return Finding(0.0, "ran into the wall", at=seen.met_in_open_water)
    if not at_rest(made):
        return Finding(0.0, "still moving at the end", at=end)
    part = share(abs(seen.driven_for - DRIVE), full=EITHER_WAY, none=2 * EITHER_WAY)
    measured = f"at rest; driven for {amount(seen.driven_for, 1)} s"
    if seen.braked_at_end:
        return Finding(part / 2, measured + ", and still braked at the end", at=end)
    return Finding(part, measured + ", then off")


CRITERIA = (
    gets_under_way, motors_first, hands_off, gentle, lamp_tells, bumper_stops, calls, stops,
)  # fmt: skip
"""Twelve points."""
