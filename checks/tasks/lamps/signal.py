"""Task `lamps.signal`: a signal that keeps time while another lamp blinks by itself."""

from __future__ import annotations

import bisect
import functools
import re
from collections import Counter
from collections.abc import Sequence

from robotsim import LAMPS

from ...readings.colour import DARK, Colour, described, white
from ...readings.light import Flashing, Lit, Step, flashing, history, lit
from ...task import Facts, Finding, criterion, share
from ...words import counted, told_apart

__all__ = [
    "BEGIN",
    "CRITERIA",
    "LATE",
    "MAST",
    "PATTERN",
    "PERIOD",
    "SECONDS",
    "STERN",
    "STERN_PATTERN",
    "Pattern",
    "Signal",
    "dark_between",
    "fit",
]

SECONDS = 21.0
MAST, STERN = 2, 3
Pattern = Sequence[tuple[float, float]]
"""Lit and dark of each flash in turn, s."""
PATTERN: Pattern = ((0.3, 0.3), (0.3, 0.3), (0.9, 1.9))
"""Two short, one long, then a rest."""
PERIOD = sum(map(sum, PATTERN))
SIGNALS = 5
"""Signals that fit into the trial from end to end; the sixth only begins."""
STERN_PATTERN: Pattern = ((0.75, 0.75),)
STERN_FLASHES = 13
LENGTH_OFF = 0.03
"""How far a length may be off, s: who looks every 10 ms, and prints a line, is off by 15 ms."""
LATE, LATE_NONE = 0.015, 0.3
"""How far from its moment a signal may start, and where that earns nothing, s."""
BEGIN = 0.5
"""By when the first signal starts, s."""
UNSTEADY = 0.015
"""Who looks at the clock every 10 ms, and prints a line, comes to a moment by less than this sooner
or later, s."""
LOGGED_WITHIN = 0.1
MOST_FLASHES = 3
"""In any one second: WCAG 2.2, 2.3.1 (read)."""
_LINE = re.compile(r"\s*signal\s+(\d+)\s*:\s*two short,\s*one long\W*", re.IGNORECASE)


def dark_between(lights: Sequence[Lit]) -> list[float]:
    """Give how long it is dark after each flash but the last, s."""
    return [b.begin - a.end for a, b in zip(lights, lights[1:], strict=False)]


def _offs(lights: Sequence[Lit], asked: Pattern) -> tuple[list[float], list[float]]:
    """Give by how much each flash and each pause differs from the length asked, s."""
    flashes = [abs(f.length - asked[k % len(asked)][0]) for k, f in enumerate(lights)]
    pauses = [abs(d - asked[k % len(asked)][1]) for k, d in enumerate(dark_between(lights))]
    return flashes, pauses


def fit(lights: Sequence[Lit], asked: Pattern, most: int = SIGNALS * len(PATTERN)) -> float:
    """Give the share of flashes and pauses that have their length, 0 to 1, of so many asked."""
    flashes, pauses = _offs(lights, asked)
    earned = sum(share(off, full=LENGTH_OFF, none=0.15) for off in flashes)
    earned += sum(share(off, full=LENGTH_OFF, none=0.25) for off in pauses)
    # The last flash may be cut by the end of the trial, and no pause follows it.
    return min(1.0, earned / (2 * max(most, len(lights) - 1)))


class Signal(Facts):
    """What the five lamps and the console showed, and when."""

    @functools.cached_property
    def steps(self) -> list[list[Step]]:
        """What each lamp showed, change by change."""
        return [history(self.recording, lamp) for lamp in range(len(LAMPS))]

    @functools.cached_property
    def flashes(self) -> list[list[Lit]]:
        """The stretches in which each lamp is lit, however faintly."""
        return [lit(steps, self.recording.seconds, least=1) for steps in self.steps]

    @property
    def mast(self) -> list[Lit]:
        """The flashes of the mast."""
        return self.flashes[MAST]

    @property
    def stern(self) -> list[Lit]:
        """The flashes of the stern."""
        return self.flashes[STERN]

    @functools.cached_property
    def starts(self) -> list[float]:
        """When each signal starts: every third flash of the mast, s."""
        return [flash.begin for flash in self.mast[:: len(PATTERN)]]

    @functools.cached_property
    def lateness(self) -> list[float]:
        """How late each signal starts in s, counted from the first; negative is early."""
        return [start - self.starts[0] - k * PERIOD for k, start in enumerate(self.starts)]

    @functools.cached_property
    def fastest(self) -> tuple[int, Flashing]:
        """The lamp that flashes fastest, and how fast."""
        counts = [flashing(steps) for steps in self.steps]
        lamp = max(range(len(LAMPS)), key=lambda k: counts[k].most)
        return lamp, counts[lamp]

    @functools.cached_property
    def wrong_colours(self) -> list[tuple[int, Colour]]:
        """Each lamp that shows what it should not, and a colour that it should not show."""
        found = []
        for lamp, steps in enumerate(self.steps):
            shown = [step.colour for step in steps if step.colour != DARK]
            wrong = [c for c in shown if lamp not in (MAST, STERN) or not white(c)]
            found += [(lamp, wrong[0])] if wrong else []
        return found

    @functools.cached_property
    def log(self) -> list[tuple[float, int]]:
        """The lines of the log: when, and the number of the signal."""
        lines = ((time, _LINE.fullmatch(text)) for time, text in self.recording.printed)
        return [(time, int(found[1])) for time, found in lines if found]

    @functools.cached_property
    def misses(self) -> bool:
        """Whether the same length of the mast's signal comes out differently from time to time."""
        places = range(len(PATTERN))
        lengths = [[f.length for f in self.mast[k:-1:3]] for k in places]
        lengths += [dark_between(self.mast)[k::3] for k in places]
        return any(some and max(some) - min(some) > UNSTEADY for some in lengths)

    @functools.cached_property
    def wait(self) -> float:
        """The longest wait at one go, in s, that the program has made three times or more.

        One in which a callback comes keeps no lamp waiting.
        """
        calls = [event.time_ns for event in self.recording.of("call")]
        waits = Counter(
            long for at, long in ((e.time_ns, e.data[0]) for e in self.recording.of("sleep"))
            if bisect.bisect_right(calls, at) == bisect.bisect_right(calls, at + long)
        )  # fmt: skip
        return max((wait for wait, times in waits.items() if times >= 3), default=0) / 1e9


# -- what is asked -----------------------------------------------------------

_LENGTHS = ", ".join(f"{lit:g} on, {dark:g} off" for lit, dark in PATTERN)


@criterion(
    "The mast signals: two short, one long",
    3,
    asks=f"{_LENGTHS}, in s, each within {LENGTH_OFF:g} s; "
    f"{counted(SIGNALS, 'signal')} in {SECONDS:g} s",
    essential=True,
)
def pattern(seen: Signal) -> Finding:
    if not seen.mast:
        return Finding(0.0, "the mast lamp stays dark")
    part = fit(seen.mast, PATTERN)
    first = ", ".join(f"{flash.length:.2f}" for flash in seen.mast[: len(PATTERN)])
    measured = f"{counted(len(seen.mast), 'flash')}, the first lit for {first} s"
    if part < 0.999:
        offs = [off for some in _offs(seen.mast, PATTERN) for off in some]
        good = sum(off <= LENGTH_OFF for off in offs)
        measured += f"; {good} of {len(offs)} lengths within {LENGTH_OFF:g} s"
    # What fits by chance, one length in three or so, is no signal.
    return Finding(share(1 - part, full=0.001, none=0.7), measured, at=seen.mast[0].begin)


@criterion(
    "The signals keep time",
    3,
    asks=f"the first in the first {BEGIN:g} s, each of six starts within {1000 * LATE:.0f} ms of "
    f"its moment, counted from the first ({1000 * LATE_NONE:.0f} ms off earns nothing)",
)
def keeps_time(seen: Signal) -> Finding:
    late = seen.lateness
    if len(late) < 2:
        return Finding(0.0, f"{counted(len(late), 'signal')} in {seen.recording.seconds:g} s")
    worst = max(range(len(late)), key=lambda k: abs(late[k]))
    off = told_apart(1000 * abs(late[worst]), 1000 * LATE, 0)
    measured = f"signal {worst + 1} starts {off} ms {'late' if late[worst] >= 0 else 'early'}"
    begun = seen.starts[0]
    if begun > BEGIN:
        measured += f"; the first starts at {told_apart(begun, BEGIN)} s"
    if len(late) > SIGNALS + 1:
        many = f"{len(late)} signals where six are due"
        measured = many if len(late) > 2 * SIGNALS else f"{many}; {measured}"
    missing = max(0, SIGNALS + 1 - len(late))
    if missing:
        measured += f"; {missing} of six starts missing"
    earned = share(abs(late[worst]), full=LATE, none=LATE_NONE)
    earned *= share(begun, full=BEGIN, none=5.0)
    return Finding(earned * (1 - missing / (SIGNALS + 1)), measured, at=seen.starts[worst])


@criterion(
    "The stern lamp blinks by itself",
    2,
    asks=f"{STERN_PATTERN[0][0]:g} s on, {STERN_PATTERN[0][1]:g} s off, each within "
    f"{LENGTH_OFF:g} s, all the time: {STERN_FLASHES} flashes or more in {SECONDS:g} s",
)
def stern_blinks(seen: Signal) -> Finding:
    lights = seen.stern
    if len(lights) < 2:
        return Finding(0.0, f"{counted(len(lights), 'flash')} in {seen.recording.seconds:g} s")
    part = fit(lights, STERN_PATTERN, STERN_FLASHES)
    lengths = sorted(flash.length for flash in lights)
    measured = f"{len(lights)} flashes of {lengths[0]:.2f} to {lengths[-1]:.2f} s"
    return Finding(share(1 - part, full=0.001, none=1.0), measured, at=lights[0].begin)


@criterion(
    "No lamp flashes too fast", 2, asks=f"at most {MOST_FLASHES} in any one second (WCAG 2.3.1)"
)
def no_flicker(seen: Signal) -> Finding:
    lamp, worst = seen.fastest
    if not worst.most:
        return Finding(0.0, "no lamp flashes")
    measured = f"at most {counted(worst.most, 'flash')} in a second, at the {LAMPS[lamp]} lamp"
    return Finding(float(worst.most <= MOST_FLASHES), measured, at=worst.at)


@criterion(
    "White when lit, the other lamps dark", 1, asks="mast and stern white when lit, the others dark"
)
def colours(seen: Signal) -> Finding:
    wrong = [f"{LAMPS[lamp]} shows {described(colour)}" for lamp, colour in seen.wrong_colours]
    measured = "; ".join(wrong) or "mast and stern white, the others dark"
    if not wrong and not (seen.mast and seen.stern):
        dark = "mast stays" if seen.stern else "stern stays" if seen.mast else "lamps all stay"
        measured = f"the {dark} dark"
    return Finding(1.0 - len(wrong) / len(LAMPS) if seen.mast else 0.0, measured)


@criterion(
    "The console keeps the log",
    1,
    asks=f'"signal 1: two short, one long" within {LOGGED_WITHIN:g} s of the first start, then '
    "2 to 6, each once",
)
def log(seen: Signal) -> Finding:
    begun = seen.starts[: SIGNALS + 1]
    good = sum(
        any(number == k + 1 and abs(time - start) < LOGGED_WITHIN for time, number in seen.log)
        for k, start in enumerate(begun)
    )
    missed = 1 - good / (SIGNALS + 1) + (0.5 if len(seen.log) > len(begun) + 1 else 0.0)
    measured = f"{good} of six lines at the right moment, {len(seen.log)} in all"
    return Finding(share(missed, full=0.001, none=1.0), measured)


CRITERIA = (pattern, keeps_time, stern_blinks, no_flicker, colours, log)
"""Twelve points."""
