"""What `arm.knock` asks: wind up, wait, and knock the float into the dock with one swing."""

from __future__ import annotations

import math
from functools import cached_property

from robotsim import Event, Recording, make_table

from ...readings.arm import Strike, angles, between, crossings, on_stop, strike
from ...readings.motion import at_rest
from ...readings.rest import busy
from ...task import Facts, Finding, criterion, share
from ...words import amount, told_apart
from ..trials import together, where

__all__ = ["CRITERIA", "FAR", "SLOWEST_S", "SWING_S", "WAIT_OFF_S", "WAIT_S", "Knock"]

GAUGE = 35.0
"""How far to either side the arm is asked to go, in degrees."""
FAR = 30.0
"""Where an arm surely stands that was told to go to 35: trim (up to 3.6 degrees), dead band."""
SWING_S = 0.12
"""For 60 degrees at 4.8 V: sheet of the 9 g class (transcription)."""
SLOWEST_S = 1.4 * SWING_S
"""Still a swing at full rate: two samples of 10 ms, and a battery that sags, are in it."""
NO_SWING_S = 0.4
"""A push that takes so long is none."""
WAIT_S, WAIT_OFF_S, STOWED_DEG, STOWED_S = 1.0, 0.05, 6.0, 0.5


class Trial:
    """What arm and float did on one table.

    Attributes:
        recording: The recording.
        name: How to name it on a card.
    """

    def __init__(self, recording: Recording, name: str) -> None:
        self.recording, self.name = recording, name
        self.track = angles(recording)

    @cached_property
    def hit(self) -> Strike | None:
        """The arm's first touch of the float."""
        return strike(self.recording)

    @cached_property
    def until(self) -> float:
        """Until when it could wind up: its strike, or the end, in s."""
        return self.hit.time if self.hit else self.recording.seconds

    @cached_property
    def lowest(self) -> float:
        """How far to starboard it went before it struck: the lowest angle, in degrees."""
        return min(between(self.recording, 0.0, self.until))

    @cached_property
    def wound_s(self) -> float:
        """For how long it stood to starboard before it struck, in s."""
        before = between(self.recording, 0.0, self.until)
        return self.recording.tracks["t"][1] * sum(angle <= -FAR for angle in before)

    @cached_property
    def swings(self) -> list[tuple[float, float]]:
        """Every way of the arm from far to starboard to far to port: begin and end in s."""
        found: list[tuple[float, float]] = []
        while way := crossings(self.recording, -FAR, FAR, found[-1][1] if found else 0.0):
            found.append(way)
        return found

    @cached_property
    def docked(self) -> list[Event]:
        """The float's ways into the dock and out of it."""
        return list(self.recording.of("dock"))

    @cached_property
    def touched(self) -> tuple[str, float] | None:
        """What the hull first touched, the float or a wall, and when, in s."""
        touches = [e for e in self.recording.of("touch") if e.data[0] in ("float", "wall")]
        return (touches[0].data[0], touches[0].seconds) if touches else None

    def to_gate(self) -> tuple[float, float]:
        """How far the float came towards the gate's line, and how far that was, in m."""
        dock = make_table(self.recording.table, self.recording.seed).dock
        xs, ys = self.recording.tracks["float_x"], self.recording.tracks["float_y"]
        if dock is None:
            return 0.0, 1.0
        c, s = math.cos(dock.heading), math.sin(dock.heading)
        return (
            (xs[-1] - xs[0]) * c + (ys[-1] - ys[0]) * s,
            (dock.x - xs[0]) * c + (dock.y - ys[0]) * s,
        )


class Knock(Facts):
    """What was seen on each table."""

    @cached_property
    def trials(self) -> list[Trial]:
        """The trials."""
        every = self.recordings
        return [Trial(one, where(every, k)) for k, one in enumerate(every)]


def _each(seen: Knock, findings: list[Finding]) -> Finding:
    return together(seen.recordings, findings)


@criterion(
    "the float ends in the dock", 4, essential=True,
    asks="struck by the arm, over the scoring line in the dock's gate, and it stays there until "
    "the end",
)  # fmt: skip
def docks(seen: Knock) -> Finding:
    return _each(seen, [_docks(one) for one in seen.trials])


def _docks(one: Trial) -> Finding:
    if one.hit is None or (one.docked and one.docked[0].seconds < one.hit.time):
        return Finding(0.0, "the arm never struck the float")
    if one.docked:
        last = one.docked[-1]
        if last.data[0] == "in":
            return Finding(1.0, f"in the dock from {last.seconds:.2f} s on")
        return Finding(0.5, f"it left the dock again at {last.seconds:.2f} s", at=last.seconds)
    gone, needed = one.to_gate()
    words = f"struck, it rolled {amount(1000 * gone, 0)} of {1000 * needed:.0f} mm towards the gate"
    return Finding(0.4 * min(1.0, max(0.0, gone / needed)), words, at=one.hit.time)


@criterion(
    "it winds up and waits", 2,
    asks=f"{WAIT_S - WAIT_OFF_S:g} s or more at {FAR:.0f} degrees or more to starboard "
    "before it strikes",
)  # fmt: skip
def winds_up(seen: Knock) -> Finding:
    return _each(seen, [
        Finding(
            share(WAIT_S - one.wound_s, full=WAIT_OFF_S, none=WAIT_S),
            f"{one.wound_s:.2f} s at {FAR:.0f} degrees or more to starboard before it struck",
            at=one.hit.time if one.hit else None,
        )
        for one in seen.trials
    ])  # fmt: skip


@criterion(
    "one full swing", 2,
    asks=f"to port once, at least as far as {FAR:.0f} degrees; the "
    f"{2 * FAR:.0f} degrees about the middle in {SLOWEST_S:.2f} s or less",
)  # fmt: skip
def full_swing(seen: Knock) -> Finding:
    return _each(seen, [_full_swing(one) for one in seen.trials])


def _full_swing(one: Trial) -> Finding:
    if not one.swings:
        return Finding(0.0, "no swing from starboard to port")
    begin, end = one.swings[0]
    words = f"{2 * FAR:.0f} degrees in {told_apart(end - begin, SLOWEST_S)} s"
    part = share(end - begin, full=SLOWEST_S, none=NO_SWING_S)
    if len(one.swings) > 1:
        part, words = part / 2, f"{len(one.swings)} swings; the first: {words}"
    return Finding(part, words, at=begin)


@criterion(
    "the hull keeps clear", 1,
    asks="it touches neither float nor wall; at the end it is at rest, both motors off (neither "
    "driven nor braked)",
)  # fmt: skip
def keeps_clear(seen: Knock) -> Finding:
    return _each(seen, [_keeps_clear(one) for one in seen.trials])


def _keeps_clear(one: Trial) -> Finding:
    end = one.recording.seconds
    if one.touched:
        what, when = one.touched
        return Finding(0.0, f"the hull touched the {what} at {when:.2f} s", at=when)
    if on := busy(one.recording):
        return Finding(0.0, on, at=end)
    if not at_rest(one.recording):
        return Finding(0.0, "still moving at the end", at=end)
    return Finding(1.0, "clear of float and walls, motors off")


@criterion(
    "the arm is stowed", 1,
    asks=f"within {STOWED_DEG:.0f} degrees of straight ahead for the last {STOWED_S:g} s, and "
    "never on its stop",
)  # fmt: skip
def stowed(seen: Knock) -> Finding:
    return _each(seen, [_stowed(one) for one in seen.trials])


def _stowed(one: Trial) -> Finding:
    end = one.recording.seconds
    worst = max(between(one.recording, end - STOWED_S, end), key=abs)
    stop = on_stop(one.recording)
    if stop is not None:
        return Finding(0.0, f"it pressed on its stop at {stop.begin:.2f} s", at=stop.begin)
    part = share(abs(worst), full=STOWED_DEG, none=20.0)
    return Finding(part, f"up to {amount(worst, 0)} degrees aside in the last {STOWED_S:g} s")


CRITERIA = (docks, winds_up, full_swing, keeps_clear, stowed)
"""Ten points."""
