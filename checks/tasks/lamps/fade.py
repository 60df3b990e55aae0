"""Task `lamps.fade`: the mast lamp comes up evenly to the eye."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass

from robotsim import LAMPS

from ...readings.colour import Colour, described, lightness, luminance
from ...readings.light import Step, held, history
from ...task import Facts, Finding, criterion, share
from ...words import amount, counted, told_apart

__all__ = [
    "BEGIN",
    "CRITERIA",
    "DURATION",
    "FULL",
    "MAST",
    "OFF",
    "SECONDS",
    "SHORTEST",
    "UNEVEN",
    "Dawn",
    "Rise",
    "is_full",
]

SECONDS = 7.0
MAST = 2
"""Its place in the chain."""
FULL = 253
"""A lamp with at least this as its weakest number is full: 255, but for a sum cut off too soon."""
DURATION, OFF = 4.0, 0.4
"""How long the rise should take, and what is free either way, s."""
BEGIN = 1.0
"""By when, in s, the first light is asked."""
LARGEST_STEP, UNEVEN, FALLEN = 8.0, 10.0, 0.5
"""Points of lightness: the largest step, what is off an even rise, all steps down together."""
SHORTEST = 0.5
"""A rise that takes less time, in s, looks like a lamp that is switched on."""


@dataclass(frozen=True)
class Rise:
    """How the mast lamp came up: from its first light to the first time it is brightest.

    Attributes:
        times: When each new colour came, s.
        levels: Its lightness, 100 for the brightest that the lamp reached.
        numbers: Its strongest number, 0 to 255.
    """

    times: tuple[float, ...]
    levels: tuple[float, ...]
    numbers: tuple[int, ...]

    @classmethod
    def of(cls, steps: Sequence[Step]) -> Rise | None:
        """Read it from what a lamp showed; None if that stays dark."""
        lights = [lightness(luminance(step.colour)) for step in steps]
        top = max(lights)
        if top == 0.0:
            return None
        first = next(k for k, light in enumerate(lights) if light > 0.0)
        part = slice(first, lights.index(top) + 1)
        return cls(
            tuple(step.time for step in steps[part]),
            tuple(100 * light / top for light in lights[part]),
            tuple(max(step.colour) for step in steps[part]),
        )

    @property
    def seconds(self) -> float:
        """How long it took."""
        return self.times[-1] - self.times[0]

    def off_line(self, values: Sequence[float]) -> tuple[float, float]:
        """Give the largest departure of the values from a straight rise, signed, and when."""
        worst, at = 0.0, self.times[0]
        for k in range(len(self.times) - 1):
            for time in self.times[k : k + 2]:
                off = values[k] - values[-1] * (time - self.times[0]) / self.seconds
                if abs(off) > abs(worst):
                    worst, at = off, time
        return worst, at

    @property
    def largest_step(self) -> tuple[float, float]:
        """Give the largest step up in lightness beyond all before, and when."""
        before, largest, at = 0.0, 0.0, self.times[0]
        for time, level in zip(self.times, self.levels, strict=True):
            if level - before > largest:
                largest, at = level - before, time
            before = max(before, level)
        return largest, at

    @property
    def fallen(self) -> tuple[float, float]:
        """Give the sum of all steps down on the way up, and when the first was."""
        downs = [
            (self.levels[k] - self.levels[k + 1], self.times[k + 1])
            for k in range(len(self.levels) - 1)
            if self.levels[k + 1] < self.levels[k]
        ]
        return sum(down for down, _ in downs), downs[0][1] if downs else 0.0


def is_full(colour: Colour) -> bool:
    """Say whether a colour is a white as bright as the lamp gets."""
    return min(colour) >= FULL


class Dawn(Facts):
    """What the mast lamp and the others showed."""

    @functools.cached_property
    def steps(self) -> list[Step]:
        """What the mast lamp showed, change by change."""
        return history(self.recording, MAST)

    @functools.cached_property
    def rise(self) -> Rise | None:
        """How it came up; None if it stays dark."""
        return Rise.of(self.steps)

    @property
    def brightest(self) -> Colour:
        """The lightest colour that it showed."""
        return max((step.colour for step in self.steps), key=luminance)

    @property
    def on_its_way(self) -> bool:
        """Whether it was still coming up when the time was up."""
        times = [step.time for step in self.steps]
        gaps = [b - a for a, b in zip(times, times[1:], strict=False)]
        return bool(gaps) and self.recording.seconds - times[-1] <= 1.5 * max(gaps[-3:])

    @functools.cached_property
    def others_lit(self) -> list[str]:
        """The names of the other lamps that ever changed."""
        others = (lamp for lamp in range(len(LAMPS)) if lamp != MAST)
        return [LAMPS[lamp] for lamp in others if len(history(self.recording, lamp)) > 1]

    @functools.cached_property
    def since_full(self) -> list[Step]:
        """What it showed from the moment on at which it was full white."""
        full = (k for k, step in enumerate(self.steps) if is_full(step.colour))
        return self.steps[next(full, len(self.steps)) :]


# -- what is asked -----------------------------------------------------------

_DARK = Finding(0.0, "the mast lamp does not come up")


@criterion(
    "The mast lamp comes up in small steps",
    1,
    asks=f"no step of more than {LARGEST_STEP:g} points of lightness (of 100)",
    essential=True,
)
def comes_up(seen: Dawn) -> Finding:
    if seen.rise is None:
        return _DARK
    largest, at = seen.rise.largest_step
    points = told_apart(largest, LARGEST_STEP, 1)
    measured = f"{counted(len(seen.rise.levels), 'step')}, the largest {points} points"
    if not seen.since_full:
        lightest = described(seen.brightest)
        measured += f" of the 100 from dark to the lightest that it came to, {lightest}"
    return Finding(share(largest, full=LARGEST_STEP, none=40.0), measured, at=at)


@criterion(
    "It comes up evenly to the eye",
    4,
    asks=f"the lightness never more than {UNEVEN:g} points off an even rise from first light to "
    f"full ({3 * UNEVEN:g} off earns nothing)",
)
def even(seen: Dawn) -> Finding:
    rise = seen.rise
    if rise is None:
        return _DARK
    if len(rise.levels) < 2:
        return Finding(0.0, "it comes on at once")
    if rise.seconds < SHORTEST:
        return Finding(0.0, f"over in {rise.seconds:.3f} s, too fast to see")
    off, at = rise.off_line(rise.levels)
    side = "lighter" if off > 0 else "darker"
    measured = f"up to {told_apart(abs(off), UNEVEN, 1)} points {side} than an even rise"
    return Finding(share(abs(off), full=UNEVEN, none=3 * UNEVEN), measured, at=at)


@criterion(
    "It takes four seconds",
    2,
    asks=f"{DURATION:g} s from first light to full, within {OFF:g} s; "
    f"first light within {BEGIN:g} s of the start",
)
def four_seconds(seen: Dawn) -> Finding:
    rise = seen.rise
    if rise is None:
        return _DARK
    earned = share(abs(rise.seconds - DURATION), full=OFF, none=2.0)
    earned *= share(rise.times[0], full=BEGIN, none=SECONDS)
    limit = DURATION + OFF if rise.seconds > DURATION else DURATION - OFF
    measured = f"it takes {told_apart(rise.seconds, limit)} s"
    if rise.times[0] > BEGIN:
        measured += f", and begins at {told_apart(rise.times[0], BEGIN)} s"
    return Finding(earned, measured, at=rise.times[-1])


@criterion(
    "It never falls back",
    1,
    asks=f"never darker than before on the way up ({FALLEN:g} points in all are free)",
)
def never_back(seen: Dawn) -> Finding:
    if seen.rise is None:
        return _DARK
    fallen, at = seen.rise.fallen
    if not fallen:
        return Finding(1.0, "only ever rises")
    measured = f"falls back by {amount(fallen, 1)} points in all"
    return Finding(share(fallen, full=FALLEN, none=20.0), measured, at=at)


@criterion(
    "It ends at full white and stays",
    1,
    asks=f"full white, (255, 255, 255), until the end at {SECONDS:g} s (from {FULL} on is full)",
)
def stays(seen: Dawn) -> Finding:
    rise, until = seen.rise, seen.recording.seconds
    if rise is None:
        return _DARK
    since = min(rise.times[-1], until - 0.01)
    part = held(seen.steps, is_full, since, until)
    measured = f"ends {described(seen.steps[-1].colour)}"
    if 0.0 < part < 0.999:
        measured += f"; full for {100 * part:.0f} % of the time after"
    gone = (s.time for s in seen.steps if s.time > since and not is_full(s.colour))
    return Finding(share(1 - part, full=0.001, none=1.0), measured, at=next(gone, since))


@criterion(
    "The other lamps stay dark", 1, asks=f"all lamps but lamp {MAST}, the mast, dark all the time"
)
def others_dark(seen: Dawn) -> Finding:
    lit = seen.others_lit
    if seen.rise is None:
        return _DARK
    measured = f"lit: {', '.join(lit)}" if lit else "the other four are dark"
    return Finding(1 - len(lit) / 4, measured)


CRITERIA = (comes_up, even, four_seconds, never_back, stays, others_dark)
"""Ten points."""
