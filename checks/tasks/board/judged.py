"""Judging of the lesson `board`: a program on the tugs of a fleet, and without settings."""

from __future__ import annotations

from robotsim import Recording
from robotsim.onto import Advice, review

from ...readings.light import Colour
from ...readings.motion import SIDES, still_driven
from ...task import Finding, share
from ..powerup.states import Recordings, blinks, first_drive, never_set_low
from .fleet import (
    FLEET,
    REWIRED,
    alone,
    drift,
    driven_ahead,
    fleet,
    run_with,
    strange_pins,
    worst,
)

__all__ = [
    "ABOUT",
    "HANDS_OFF",
    "SAILED",
    "UNDER_WAY",
    "compiles",
    "drives",
    "green",
    "lights",
    "longest",
    "quiet",
    "ready",
    "red",
    "side_lights",
    "stops",
    "straight",
    "wiring",
    "without",
]

HANDS_OFF = 2.0
UNDER_WAY, ABOUT = 2.0, 0.6
"""For how long it drives, and by how much it may differ, in s."""
SAILED = FLEET[:2]
"""The tugs of the fleet that are wired as drawn: on these the program can be seen to drive."""


def _looked(recordings: Recordings) -> tuple[Advice, ...]:
    """Look at the program as it ran with a fleet's settings: its own may be lacking."""
    return review(run_with(recordings[0], FLEET[0].settings, FLEET[0].serial))


def drives(recordings: Recordings) -> Finding:
    """It comes ahead on every tug."""
    ways = [drift(r)[0] for r in fleet(recordings[0])[: len(SAILED)]]
    parts = [share(0.25 - ahead, full=0.0, none=0.2) for ahead in ways]
    told = ", ".join(f"{m.name} {ahead:.2f} m" for m, ahead in zip(SAILED, ways, strict=True))
    return Finding(sum(parts) / len(parts), f"came ahead: {told}", "at least 0.25 m, each tug")


def compiles(recordings: Recordings) -> Finding:
    """The board's own compiler takes every file."""
    asked = "every file compiled by the board's own compiler"
    broken = [a for a in _looked(recordings) if "compile" in a.cause]
    if broken:
        return Finding(0.0, f"{broken[0].place}: {broken[0].cause}", asked)
    return Finding(1.0, "compiled", asked)


def ready(recordings: Recordings) -> Finding:
    """Nothing is found that would fail on a board."""
    asked = "nothing that would fail on a board"
    failing = [a for a in _looked(recordings) if a.fails]
    if failing:
        first = failing[0]
        return Finding(0.0, f"{len(failing)} found, first {first.place}: {first.cause}", asked)
    return Finding(1.0, "nothing found", asked)


def quiet(recordings: Recordings) -> Finding:
    """All motor inputs are low at first, and nothing drives for a while."""
    asked = f"all motor inputs low at first, none driven in the first {HANDS_OFF:g} s"
    runs = fleet(recordings[0])[: len(SAILED)]
    pins = max((never_set_low(r) for r in runs), key=len)
    times = [t for r in runs if (t := first_drive(r)) is not None]
    first = min(times, default=None)
    if pins:
        told = f"not set low at first: pins {', '.join(map(str, pins))}"
        return Finding(0.5 * (1 - len(pins) / 4), told, asked, 0.0)
    if first is None:
        return Finding(0.0, "no motor was ever driven", asked)
    part = share(HANDS_OFF - first, full=0.001, none=1.5)
    return Finding(part, f"first driven {first:.2f} s after power-up", asked, first)


def straight(recordings: Recordings) -> Finding:
    """It goes straight by its settings."""
    ways = [drift(r) for r in fleet(recordings[0])[: len(SAILED)]]
    parts = [
        share(abs(aside), full=0.03, none=0.10) * share(0.25 - ahead, full=0.0, none=0.2)
        for ahead, aside in ways
    ]
    told = ", ".join(
        f"{m.name} {abs(aside):.2f} m to {'port' if aside > 0 else 'starboard'}"
        for m, (_, aside) in zip(SAILED, ways, strict=True)
    )
    return Finding(sum(parts) / len(parts), told, "within 0.03 m of straight ahead, each tug")


def red(colour: tuple[int, int, int]) -> bool:
    """Say whether a colour is red."""
    return colour[0] >= 20 and 3 * max(colour[1:]) <= colour[0]


def green(colour: tuple[int, int, int]) -> bool:
    """Say whether a colour is green."""
    return colour[1] >= 20 and 3 * max(colour[0], colour[2]) <= colour[1]


def side_lights(recording: Recording) -> tuple[float, Colour, Colour]:
    """Give a share for the side lamps while the tug drives, and what they show then."""
    begun = first_drive(recording)
    when = (HANDS_OFF if begun is None else begun) + 0.5
    port, starboard = recording.lamps_at(when)[:2]
    return (red(port) + green(starboard)) / 2, port, starboard


def lights(recordings: Recordings) -> Finding:
    """Port shows red, starboard green."""
    runs = fleet(recordings[0])[: len(SAILED)]
    shown = [side_lights(recording) for recording in runs]
    k = worst([part for part, _, _ in shown])
    told = f"{SAILED[k].name}: port bow {shown[k][1]}, starboard bow {shown[k][2]}"
    part = sum(part for part, _, _ in shown) / len(shown)
    return Finding(part, told, "port red and starboard green under way, each tug")


def wiring(recordings: Recordings) -> Finding:
    """It uses the pins of its settings, and no others."""
    asked = "the pins of its settings and no others, on a tug wired otherwise"
    recording = fleet(recordings[0])[FLEET.index(REWIRED)]
    strange = strange_pins(recording, REWIRED.pins)
    drove = driven_ahead(recording, REWIRED.pins)
    lit = any(e.data[0] == REWIRED.pins["lamps"] for e in recording.of("frame"))
    right = [*(drove[side] > 1.0 for side in SIDES), lit]
    part = sum(right) / len(right)
    if strange:
        return Finding(part / 2, f"used pins {', '.join(map(str, strange))}", asked)
    told = ", ".join(f"{side} motor {drove[side]:.1f} s" for side in SIDES)
    return Finding(part, f"its pins drove: {told}; lamps {'lit' if lit else 'dark'}", asked)


def without(recordings: Recordings) -> Finding:
    """Without settings it drives nothing and calls for help."""
    asked = "without settings.py: no motor driven, deck lamp blinks amber"
    recording = alone(recordings[0])
    if first_drive(recording) is not None:
        return Finding(0.0, "a motor was driven", asked, first_drive(recording))
    part, measured = blinks(recording, 2.0, 6.0)
    if recording.problem:
        measured = f"stopped: {recording.problem.kind}: {recording.problem.message}"
    return Finding(part, measured, asked, 2.0)


def stops(recordings: Recordings) -> Finding:
    """It stops by itself, after the time that was asked."""
    asked = f"motors off at the end, each tug, after {UNDER_WAY:g} s of driving"
    for member, recording in zip(SAILED, fleet(recordings[0]), strict=False):
        if still_driven(recording):
            return Finding(0.0, f"{member.name}: still driven", asked, recording.seconds)
    long = longest(recordings)
    part = share(abs(long - UNDER_WAY), full=ABOUT, none=1.5)
    return Finding(part, f"motors off; driven for {long:.1f} s", asked)


def longest(recordings: Recordings) -> float:
    """Give for how long the motors of the first tug drove ahead, in s."""
    return max(driven_ahead(fleet(recordings[0])[0], FLEET[0].pins).values())
