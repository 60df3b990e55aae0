"""Task `powerup.presses`: a switch that bounces, counted once for each touch."""

from __future__ import annotations

import functools
import itertools
from typing import NamedTuple

from robotsim import LAMPS, PINS, Recording

from ...readings.light import history
from ...readings.motion import SIDES, at_rest, driven, motor_phases, still_driven
from ...task import Facts, Finding, Run, criterion, share
from ...words import amount, counted, listed, told_apart
from .states import LEAST, off_first

__all__ = [
    "ASTERN",
    "CRITERIA",
    "EITHER_WAY",
    "PRESSING",
    "RUNS",
    "SHOWN",
    "TOUCHES",
    "Presses",
    "lamps_lit",
    "noticed",
    "shown_at",
    "touches",
]

TOUCHES = 5
APART = 0.12
"""Two contacts nearer to each other than this, in s, are one touch: the hull may rock."""
SHOWN = 0.35
"""How soon after a touch its lamp is lit, s."""
PRESSING = 0.40
"""For how long a touch may press the bumper, s."""
ASTERN, EITHER_WAY = 0.4, 0.15
"""For how long it backs off, and what is free either way, s."""
_SAME_S = 0.05
"""What happens within so long, in s, happens at the same time; 8 cm take ten times as long."""
RUNS = (
    Run(seconds=9.0, start=(1.04, 0.40, 0.0)),
    Run(seconds=10.0, start=(0.96, 0.40, 0.0), seed=3),
)


class Touch(NamedTuple):
    """One touch of the wall with the bumper: from when to when its switch was closed, in s."""

    begin: float
    end: float


def touches(recording: Recording) -> list[Touch]:
    """Give the touches of the wall that pressed the bumper; what only grazes the hull is none.

    A switch that is closed for some milliseconds may fall between two samples of the tracks: then
    the program's own reading of the pin, right after a contact, has seen it.
    """
    met = [e.seconds for e in recording.of("touch") if e.data[0] == "wall"]
    closed = [t for t, b in zip(*(recording.tracks[c] for c in ("t", "bumper")), strict=True) if b]
    seen = [e.seconds for e in recording.of("read") if e.data == (PINS["bumper"], 0)]
    closed += [t for t in seen if any(0.0 <= t - contact < APART for contact in met)]
    # It begins with the contact, not with the first sample after it.
    closed += [contact for contact in met if any(0.0 <= t - contact < APART for t in closed)]
    found: list[Touch] = []
    for time in sorted(closed):
        if found and time - found[-1].end < APART:
            found[-1] = Touch(found[-1].begin, time)
        else:
            found.append(Touch(time, time))
    return found


def noticed(recording: Recording) -> list[float]:
    """Give when the program read its bumper pressed, or was called by its pin, in s."""
    found = [e.seconds for e in recording.of("read") if e.data == (PINS["bumper"], 0)]
    called = ("pin", PINS["bumper"])
    return found + [e.seconds for e in recording.of("call") if e.data == called]


def shown_at(recording: Recording, time: float) -> tuple[int, ...]:
    """Give which lamps were lit at a time in s."""
    colours = recording.lamps_at(time)
    return tuple(lamp for lamp, colour in enumerate(colours) if max(colour) >= LEAST)


def lamps_lit(recording: Recording) -> list[tuple[float, int]]:
    """Give how many lamps are lit, from which time on."""
    times = {step.time for lamp in range(len(LAMPS)) for step in history(recording, lamp)}
    return [(time, len(shown_at(recording, time + 1e-9))) for time in sorted(times)]


class Presses(Facts):
    """How the tug felt its way, trial by trial."""

    @functools.cached_property
    def touches(self) -> list[list[Touch]]:
        """The touches of the wall."""
        return [touches(made) for made in self.recordings]

    @functools.cached_property
    def felt(self) -> list[int]:
        """How many of them the program noticed: its pin was read pressed, or called it."""
        return [
            sum(any(t.begin <= time < t.end + APART for time in noticed(made)) for t in some)
            for made, some in zip(self.recordings, self.touches, strict=True)
        ]

    @functools.cached_property
    def by_clock(self) -> bool:
        """Whether it went astern at the very same times from both starts, one nearer by 8 cm."""
        times = [
            [p.begin for p in driven(made, SIDES[0]) if p.duty < 0] for made in self.recordings
        ]
        one, other = times[0], times[-1]
        alike = all(abs(a - b) < _SAME_S for a, b in zip(one, other, strict=False))
        return len(one) == len(other) > 0 and alike

    @functools.cached_property
    def counts(self) -> list[int]:
        """How many touches there were."""
        return [len(some) for some in self.touches]

    @functools.cached_property
    def lit(self) -> list[list[tuple[float, int]]]:
        """How many lamps are lit, from which time on."""
        return [lamps_lit(made) for made in self.recordings]

    @functools.cached_property
    def backed(self) -> list[tuple[float, float, int]]:
        """For how long it was driven astern after each touch, s; when it touched; the trial."""
        found = []
        for trial, (made, some) in enumerate(zip(self.recordings, self.touches, strict=True)):
            back = [phase for phase in driven(made, SIDES[0]) if phase.duty < 0]
            for touch, later in itertools.zip_longest(some, some[1:]):
                end = later.begin if later else made.seconds
                spells = (min(p.end, end) - max(p.begin, touch.begin) for p in back)
                found.append((sum(spell for spell in spells if spell > 0), touch.begin, trial))
        return found

    @functools.cached_property
    def longest_press(self) -> tuple[float, float, int]:
        """For how long it leaned on the wall at most, s; when; the trial."""
        presses = [
            (t.end - t.begin, t.begin, k) for k, some in enumerate(self.touches) for t in some
        ]
        return max(presses, default=(0.0, 0.0, 0))


@criterion(
    "It feels for the wall",
    1,
    asks="touches it by its bow, from each of two starts, and notices: the bumper's pin is read "
    "while it is pressed, or calls the program, and what follows hangs on it, not on the clock",
    essential=True,
)
def feels(seen: Presses) -> Finding:
    measured = f"touched the wall {listed([*map(str, seen.counts)])} times"
    if seen.by_clock:
        return Finding(0.0, f"{measured}, and went astern at the same times from both starts")
    if seen.felt != seen.counts:
        measured += f", and noticed {listed([*map(str, seen.felt)])} of them"
    return Finding(sum(min(count, 1) for count in seen.felt) / len(seen.felt), measured)


@criterion(
    "It touches the wall five times",
    3,
    asks=f"{TOUCHES} touches from each start, not one more or less",
)
def five(seen: Presses) -> Finding:
    parts = [share(abs(n - TOUCHES), full=0.0, none=TOUCHES - 0.5) for n in seen.counts]
    measured = f"touched the wall {listed([*map(str, seen.counts)])} times"
    return Finding(sum(parts) / len(parts), measured, trial=parts.index(min(parts)))


@criterion(
    "Each touch counts once",
    3,
    asks=f"one lamp more (of at least {LEAST} of 255), lamps[0] first, within {SHOWN:g} s of each "
    "touch, none before the first touch and none for a bounce",
)
def counts_once(seen: Presses) -> Finding:
    good, most, worst = 0.0, 0, None
    for trial, (made, some) in enumerate(zip(seen.recordings, seen.touches, strict=True)):
        most += max(TOUCHES, len(some))
        for k, (touch, later) in enumerate(itertools.zip_longest(some, some[1:]), start=1):
            until = (later.begin if later else made.seconds) - 0.01
            look = min(touch.begin + SHOWN, until)
            shown = {shown_at(made, look), shown_at(made, until)}
            early = shown_at(made, touch.begin - 0.01) if k == 1 else ()
            right = shown == {tuple(range(k))} and not early
            # The right number, though not from lamps[0] on, is half of it.
            number = all(len(lamps) == k for lamps in shown) and not early
            good += 1.0 if right else 0.5 * number
            if not right and worst is None:
                lamps = early or max(shown, key=len)
                names = f": {listed([*map(str, lamps)])}" if lamps else ""
                when = "before the first touch" if early else f"after touch {k}"
                worst = (look, trial, f"{counted(len(lamps), 'lamp')} {when}{names}")
    measured = f"right after {good:g} of {most} touches"
    if worst:
        return Finding(good / most, f"{measured}; {worst[2]}", at=worst[0], trial=worst[1])
    return Finding(good / most, measured)


@criterion(
    "It gives way",
    1,
    asks=f"off the wall within {PRESSING:.2f} s, and driven astern for about {ASTERN:g} s "
    f"({ASTERN - EITHER_WAY:g} to {ASTERN + EITHER_WAY:g} s), each time",
)
def gives_way(seen: Presses) -> Finding:
    if not any(seen.counts):
        return Finding(0.0, "never came to the wall")
    lean, at, trial = seen.longest_press
    off, met, where = max((abs(long - ASTERN), met, k) for long, met, k in seen.backed)
    longs = [long for long, _, _ in seen.backed]
    measured = (
        f"pressed it for up to {told_apart(lean, PRESSING)} s, backed off for "
        f"{amount(min(longs))} to {amount(max(longs))} s"
    )
    leaned = share(lean, full=PRESSING, none=1.5)
    backed = share(off, full=EITHER_WAY + 0.005, none=ASTERN)
    if leaned <= backed:
        return Finding(leaned, measured, at=at, trial=trial)
    return Finding(backed, measured, at=met, trial=where)


motors_first = off_first(1)


@criterion(
    "It stops by itself",
    1,
    asks=f"at rest and off the wall at the end, after {RUNS[0].seconds:g} and {RUNS[1].seconds:g} "
    "s; motors off: neither driven nor braked",
)
def stops(seen: Presses) -> Finding:
    for trial, (made, some) in enumerate(zip(seen.recordings, seen.touches, strict=True)):
        if still_driven(made):
            return Finding(0.0, "still driven at the end", at=made.seconds, trial=trial)
        if not at_rest(made) or (some and some[-1].end > made.seconds - 0.2):
            return Finding(0.0, "still at the wall at the end", at=made.seconds, trial=trial)
        if any(motor_phases(made, side)[-1].braked for side in SIDES):
            return Finding(0.5, "at rest, still braked", at=made.seconds, trial=trial)
    return Finding(1.0, "at rest, motors off")


CRITERIA = (feels, five, counts_once, gives_way, motors_first, stops)
"""Ten points."""
