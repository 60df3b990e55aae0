"""Task `board.fit`: a program that is fit to be copied to real boards."""

from __future__ import annotations

import math
from functools import cached_property

from robotsim import LAMPS, Recording
from robotsim.onto import Advice, review

from ...readings.colour import FAINT, colour_seen
from ...readings.light import flashing, held, history, lit
from ...readings.motion import SIDES, still_braked, still_driven
from ...readings.waking import first_drive, never_set_low
from ...task import Facts, Finding, criterion, share
from ...words import told_apart
from .bows import SideLights
from .fleet import FLEET, REWIRED, SAILED, SECONDS, Sailing, alone, sail

__all__ = [
    "ABOUT",
    "CRITERIA",
    "DECK",
    "HANDS_OFF",
    "UNDER_WAY",
    "BoardFacts",
    "compiles",
    "drives",
    "lights",
    "quiet",
    "ready",
    "stops",
    "straight",
    "wiring",
    "without",
]

HANDS_OFF = 2.0
"""For how long nothing may be driven at first, in s."""
UNDER_WAY, ABOUT, NOT_ABOUT = 2.0, 0.6, 1.5
"""For how long it drives, in s; by how much it may differ, and where that earns nothing."""
FAR, ASIDE, TOO_FAR_ASIDE = 0.25, 0.03, 0.10
"""How far ahead it comes at least, in m; how far aside it may be, and where that earns nothing."""
RATES, NO_RATES = (1.5, 2.5), (0.7, 3.5)
"""How often a second it blinks: for all points, and where they end."""
MOST_FLASHES = 3
"""Flashes in any second: WCAG 2.2, 2.3.1 (read)."""
DECK = LAMPS.index("deck")


class BoardFacts(Facts):
    """What the program does on the tugs of a fleet, and on a board without settings."""

    @cached_property
    def fleet(self) -> tuple[Sailing, ...]:
        """The program on each tug of the fleet."""
        return tuple(sail(self.recording, member) for member in FLEET)

    @property
    def sailed(self) -> tuple[Sailing, ...]:
        """The program on the tugs that are wired as drawn."""
        return self.fleet[: len(SAILED)]

    @property
    def rewired(self) -> Sailing:
        """The program on the tug that is wired otherwise."""
        return self.fleet[FLEET.index(REWIRED)]

    @cached_property
    def alone(self) -> Recording:
        """The program on a board without settings."""
        return alone(self.recording)

    @cached_property
    def advice(self) -> tuple[Advice, ...]:
        """What would fail on a board, with a fleet's settings: the program's own may be lacking."""
        return review(self.fleet[0].recording)

    @property
    def failing(self) -> list[Advice]:
        """What of it would fail."""
        return [one for one in self.advice if one.fails]

    @cached_property
    def side_lights(self) -> tuple[SideLights, ...]:
        """What port and starboard bow show on each tug half a second after it starts."""
        found = []
        for one in self.sailed:
            when = (HANDS_OFF if one.begun is None else one.begun) + 0.5
            port, starboard = one.recording.lamps_at(when)[:2]
            found.append(SideLights(one, port, starboard))
        return tuple(found)

    @cached_property
    def seconds_ahead(self) -> float:
        """For how long the motors drove ahead, on the tug on which that differs most, in s."""
        each = [max(one.seconds_ahead.values()) for one in self.sailed]
        return max(each, key=lambda seconds: abs(seconds - UNDER_WAY))

    @cached_property
    def left_braked(self) -> Sailing | None:
        """A tug that is braked at the end: both inputs of a motor high."""
        return next((one for one in self.sailed if still_braked(one.recording)), None)

    @cached_property
    def left_on(self) -> Sailing | None:
        """A tug that is still driven at the end."""
        return next((one for one in self.sailed if still_driven(one.recording)), None)


@criterion("It drives on every tug", 1, asks=f"{FAR:g} m ahead or more on each tug", essential=True)
def drives(seen: BoardFacts) -> Finding:
    """Judge how far ahead it comes on every tug."""
    ways = [one.way[0] for one in seen.sailed]
    parts = [share(FAR - ahead, full=0.0, none=0.2) for ahead in ways]
    far = ", ".join(
        f"{m.name} {told_apart(ahead, FAR)} m" for m, ahead in zip(SAILED, ways, strict=True)
    )
    return Finding(sum(parts) / len(parts), f"came ahead: {far}")


@criterion(
    "Motors off first, hands off",
    1,
    asks=f"all four motor inputs set low before anything else, none driven in the first "
    f"{HANDS_OFF:g} s; less for each moment that it starts sooner",
)
def quiet(seen: BoardFacts) -> Finding:
    """Judge whether all motor inputs are low at first, and nothing drives for a while."""
    pins = max((never_set_low(one.recording) for one in seen.sailed), key=len)
    first = min((one.begun for one in seen.sailed if one.begun is not None), default=None)
    if pins:
        words = f"not set low at first: pins {', '.join(map(str, pins))}"
        return Finding(0.5 * (1 - len(pins) / 4), words, at=0.0)
    if first is None:
        return Finding(0.0, "no motor was ever driven")
    part = share(HANDS_OFF - first, full=0.001, none=1.5)
    return Finding(part, f"first driven {told_apart(first, HANDS_OFF)} s after power-up", at=first)


@criterion(
    "It goes straight by its settings",
    2,
    asks=f"within {ASIDE:g} m of straight ahead on each tug; nothing for {TOO_FAR_ASIDE:g} m",
)
def straight(seen: BoardFacts) -> Finding:
    """Judge how far aside it comes on each tug."""
    parts, words = [], []
    for one in seen.sailed:
        ahead, aside = one.way
        come = share(FAR - ahead, full=0.0, none=0.2)
        parts.append(share(abs(aside), full=ASIDE, none=TOO_FAR_ASIDE) * come)
        side = "port" if aside > 0 else "starboard"
        words.append(f"{one.member.name} {told_apart(abs(aside), ASIDE)} m to {side}")
    return Finding(sum(parts) / len(parts), ", ".join(words))


@criterion(
    "Its side lamps are right by its settings",
    2,
    asks="`lamps[0]` red and `lamps[1]` green on each tug, half a second after it starts to drive",
)
def lights(seen: BoardFacts) -> Finding:
    """Judge whether port shows red, starboard green."""
    worst = min(seen.side_lights, key=lambda one: one.right)
    right = sum(one.right for one in seen.side_lights)
    return Finding(right / (2 * len(seen.side_lights)), worst.words)


@criterion(
    "It uses the pins of its settings",
    2,
    asks="both motors driven ahead for more than 1 s and the lamps lit on a tug that is wired "
    "otherwise; half of it where a pin that its settings do not name is made an output",
)
def wiring(seen: BoardFacts) -> Finding:
    """Judge whether it uses the pins of its settings, and no others."""
    one = seen.rewired
    ahead = one.seconds_ahead
    shown = any(e.data[0] == REWIRED.pins["lamps"] for e in one.recording.of("frame"))
    part = (sum(ahead[side] > 1.0 for side in SIDES) + shown) / 3
    if one.strange_pins:
        return Finding(part / 2, f"used pins {', '.join(map(str, one.strange_pins))}")
    words = ", ".join(f"{side} motor {ahead[side]:.1f} s" for side in SIDES)
    return Finding(part, f"its pins drove: {words}; lamps {'lit' if shown else 'dark'}")


@criterion(
    "It is safe without settings",
    2,
    asks="no motor driven; the deck lamp amber (red with a fifth to three quarters as much green) "
    f"{RATES[0]:g} to {RATES[1]:g} times a second from {HANDS_OFF:g} s on, a number of {FAINT} or "
    "more in it, lit for a fifth to four fifths of the time and dark between; less the farther it "
    f"is from that, nothing with a motor driven or more than {MOST_FLASHES} flashes in a second",
)
def without(seen: BoardFacts) -> Finding:
    """Judge whether it drives nothing without settings, and calls for help."""
    begun = first_drive(seen.alone)
    if begun is not None:
        return Finding(0.0, f"a motor was driven, {begun:.2f} s after power-up", at=begun)
    problem = seen.alone.problem
    part, words = _blinks(seen.alone)
    if problem:
        words = f"stopped: {problem.kind}: {problem.message}"
    return Finding(part, words, at=HANDS_OFF)


def _blinks(recording: Recording) -> tuple[float, str]:
    """Say how well the deck lamp blinks amber from 2 s on: a share, and what was measured."""
    steps = history(recording, DECK)
    begins = [flash.begin for flash in lit(steps, SECONDS) if flash.begin >= HANDS_OFF]
    rate = (len(begins) - 1) / (begins[-1] - begins[0]) if len(begins) > 1 else 0.0
    shown = held(steps, lambda colour: colour_seen(colour) == "amber", HANDS_OFF, SECONDS)
    dark = held(steps, lambda colour: colour_seen(colour) == "dark", HANDS_OFF, SECONDS)
    edge = RATES[0] if rate < RATES[0] else RATES[1]
    words = (
        f"lit {told_apart(rate, edge, 1)} times a second, amber for {100 * shown:.0f} % of the time"
    )
    fast = flashing(steps).most
    if fast > MOST_FLASHES:
        return 0.0, f"{words}; {fast} flashes in one second"
    part = share(RATES[0] - rate, full=0.0, none=RATES[0] - NO_RATES[0])
    part *= share(rate - RATES[1], full=0.0, none=NO_RATES[1] - RATES[1])
    part *= share(0.2 - min(shown, dark), full=0.0, none=0.2)
    return part * share(1.0 - shown - dark, full=0.05, none=0.5), words


@criterion(
    "It stops by itself",
    1,
    asks=f"{UNDER_WAY:g} s of driving, within {ABOUT:g} s, then both motors off up to the end, "
    "neither driven nor braked (braked is half the way to off); nothing for one that is off by "
    f"{NOT_ABOUT:g} s",
)
def stops(seen: BoardFacts) -> Finding:
    """Judge whether it stops by itself, after the time that was asked."""
    if seen.left_on:
        words = f"{seen.left_on.member.name}: still driven"
        return Finding(0.0, words, at=seen.left_on.recording.seconds)
    part = share(abs(seen.seconds_ahead - UNDER_WAY), full=ABOUT, none=NOT_ABOUT)
    edge = UNDER_WAY + math.copysign(ABOUT, seen.seconds_ahead - UNDER_WAY)
    words = f"no motor driven at the end; driven for {told_apart(seen.seconds_ahead, edge)} s"
    if seen.left_braked:
        return Finding(part / 2, f"{words}; {seen.left_braked.member.name}: still braked, not off")
    return Finding(part, words)


_DOES = (drives, straight, lights, wiring, without, stops)
"""What the program is for: without it, there is nothing whose fitness would count."""
HALF = "full points only once the rows but for compiler, `ready` and hands off have half of theirs"


def _fit(seen: BoardFacts, words: str) -> Finding:
    """Say that it is fit; that counts whole from half of what it is for, in points."""
    part = sum(one.points * one.judge(seen).share for one in _DOES)
    part /= sum(one.points for one in _DOES)
    if part < 0.5:
        words += f"; but the other rows have earned {100 * part:.0f} % of their points"
    return Finding(min(1.0, 2 * part), words)


@criterion(
    "The real compiler takes it",
    2,
    asks=f"every file compiled by the board's own compiler; {HALF}",
)
def compiles(seen: BoardFacts) -> Finding:
    """Judge whether the board's own compiler takes every file."""
    for one in seen.advice:
        if "compile" in one.cause:
            return Finding(0.0, f"{one.place}: {one.cause}")
    return _fit(seen, "compiled")


@criterion(
    "Nothing in it would fail on a board", 2, asks=f"`ready` finds nothing that would fail; {HALF}"
)
def ready(seen: BoardFacts) -> Finding:
    """Judge whether anything is found that would fail on a board."""
    if seen.failing:
        first = seen.failing[0]
        return Finding(0.0, f"{len(seen.failing)} found, first {first.place}: {first.cause}")
    return _fit(seen, "nothing found")


CRITERIA = (drives, compiles, ready, quiet, straight, lights, wiring, without, stops)
