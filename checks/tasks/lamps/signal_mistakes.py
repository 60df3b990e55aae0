"""Known mistakes of the task `lamps.signal`, with what to try."""

from __future__ import annotations

from statistics import median

from robotsim import LAMPS

from ...readings.colour import DARK
from ...readings.light import slept_through
from ...task import Clues, Mistake, mistake
from ...words import counted
from .signal import (
    BEGIN,
    LATE,
    LOGGED_WITHIN,
    MAST,
    MOST_FLASHES,
    PATTERN,
    STERN,
    STERN_PATTERN,
    Signal,
    dark_between,
    fit,
    keeps_time,
    log,
    no_flicker,
    pattern,
    stern_blinks,
)
from .signal_lamps import FITS, LAMP_MISTAKES
from .signal_missing import length_missing
from .slips import SLIPS

__all__ = ["MISTAKES"]

WAIT = 0.015
"""Who waits longer than this, s, at one go sees moments go by."""


def _is_other(length: float, asked: float) -> bool:
    return abs(length - asked) > max(0.03, 0.04 * asked)


@mistake(
    "on and off exchanged",
    "at the places 0, 2 and 4 of the lengths the mast goes on, at 1, 3 and 5 off.",
    costs=[pattern],
    explains=[keeps_time, log],
)
def exchanged(seen: Signal) -> Clues:
    if fit(seen.mast, ((0.3, 0.3), (0.3, 0.9), (1.9, 0.3))) > FITS:
        yield "the mast is lit for 1.9 s and dark for 0.9 s"


@mistake(
    "the signals stop too early",
    "put them into a loop without end: while True.",
    costs=[keeps_time],
    explains=[pattern, stern_blinks, log],
)
def stops_early(seen: Signal) -> Clues:
    if 0 < len(seen.mast) <= 4 and fit(seen.mast, PATTERN, 3) > 0.6:
        yield f"the mast gives {counted(len(seen.mast), 'flash')}, then no more"
    times = [step.time for step in seen.steps[MAST]]
    stands = [b - a for a, b in zip(times, times[1:], strict=False)]
    rest = seen.recording.seconds - times[-1]
    if len(stands) > 8 and rest > max(2.5, 2 * max(stands)):
        yield f"after {times[-1]:.1f} s the mast does not change any more"


@mistake(
    "write() forgotten for one lamp",
    "after each np[...] = ... comes an np.write(), for the mast and for the stern.",
    explains=[pattern, keeps_time, stern_blinks, no_flicker, log],
)
def sent_by_the_other(seen: Signal) -> Clues:
    """Tell a lamp whose changes go out only with some of those of the other."""
    if seen.fastest[1].most > MOST_FLASHES or seen.wait > STERN_PATTERN[0][0]:
        return  # who sleeps through the stern's moments may well send it each time
    mast, stern = seen.steps[MAST][1:], seen.steps[STERN][1:]
    for name, own, other in (("mast", mast, stern), ("stern", stern, mast)):
        moments = {round(step.time, 3) for step in other}
        tied = len(own) >= 4 and all(round(step.time, 3) in moments for step in own)
        if tied and len(own) < 0.9 * len(other):
            yield f"the {name} changes only at moments at which the other lamp does"


@mistake(
    "the clock is asked the wrong way round",
    "ticks_diff(later, earlier): first now, then the moment of the next change; "
    "0 or more says that the moment has come.",
    costs=[pattern],
    explains=[keeps_time, stern_blinks, no_flicker, log],
)
def changes_every_pass(seen: Signal) -> Clues:
    """Tell a moment that has always come: the lamp changes with each round of the loop."""
    steps = seen.steps[MAST][1:40]
    gaps = [b.time - a.time for a, b in zip(steps, steps[1:], strict=False)]
    if len(gaps) > 20 and max(gaps) < 0.05 and max(gaps) < 1.9 * min(gaps):
        yield f"the mast changes at every pass of the loop, every {1000 * max(gaps):.0f} ms"


@mistake(
    "one lamp's change puts the other out",
    f"at the mast's moments set np[{MAST}] alone, at the stern's np[{STERN}] alone; fill() sets "
    "both.",
    explains=[pattern, keeps_time, stern_blinks, no_flicker, log],
)
def put_out_together(seen: Signal) -> Clues:
    """Tell a lamp that goes dark with the other one, although the loop waits for neither."""
    if seen.wait >= WAIT or seen.fastest[1].most > MOST_FLASHES:
        return
    for own, other in ((MAST, STERN), (STERN, MAST)):
        moments = {round(step.time, 3) for step in seen.steps[other][1:]}
        dark = [step for step in seen.steps[own][1:] if step.colour == DARK]
        together = sum(round(step.time, 3) in moments for step in dark)
        if together >= 4:
            yield (
                f"the {LAMPS[own]} lamp goes dark {together} times "
                f"at the very moment at which the {LAMPS[other]} lamp changes"
            )


@mistake(
    "the mast stays lit",
    "each time its moment has come, the place in LENGTHS must move on as well: "
    "place = (place + 1) % 6.",
    costs=[pattern],
    explains=[keeps_time, no_flicker, log],
)
def stays_lit(seen: Signal) -> Clues:
    if len(seen.mast) == 1 and len(seen.stern) >= 2 and not slept_through(seen.recording):
        (flash,) = seen.mast
        if flash.end == seen.recording.seconds and flash.length > 3.0:
            yield f"the mast comes on at {flash.begin:.2f} s and never goes dark again"


@mistake(
    "seconds and milliseconds mixed up",
    "ticks_ms() and sleep_ms() count in milliseconds: 0.3 s is 300.",
    costs=[pattern],
    explains=[keeps_time, stern_blinks, no_flicker, log],
)
def wrong_scale(seen: Signal) -> Clues:
    if seen.mast and not 0.03 <= seen.mast[0].length <= 3.0:
        length = seen.mast[0].length
        yield f"the first flash lasts {length:.{1 if length > 1 else 4}f} s instead of 0.3 s"


@mistake(
    "flashes more than three times a second",
    "leave at least a third of a second from one flash to the next.",
    costs=[no_flicker],
    explains=[pattern, keeps_time, stern_blinks, log],
)
def too_fast(seen: Signal) -> Clues:
    lamp, worst = seen.fastest
    if worst.most > MOST_FLASHES:
        yield (
            f"the {LAMPS[lamp]} lamp flashes {worst.most} times in the second from {worst.at:.2f} s"
        )


LENGTH = (
    "a length is not the one asked",
    "mast: 0.3 s on, 0.3 off, 0.3 on, 0.3 off, 0.9 on, 1.9 off; stern: 0.75 on, 0.75 off.",
)


@mistake(*LENGTH, costs=[pattern], explains=[keeps_time, log])
def mast_length(seen: Signal) -> Clues:
    """Tell a length that is wrong each time from moments that were missed by waiting."""
    if len(seen.mast) < 9 or seen.misses:
        return
    pauses = dark_between(seen.mast)
    for k, (lit, dark) in enumerate(PATTERN):
        long = median(flash.length for flash in seen.mast[k:-1:3])
        if _is_other(long, lit):
            yield f"flash {k + 1} of the mast's signal lasts {long:.2f} s instead of {lit} s"
        long = median(pauses[k::3])
        if _is_other(long, dark):
            yield f"after flash {k + 1} the mast is dark for {long:.2f} s instead of {dark} s"


@mistake(*LENGTH, costs=[stern_blinks])
def stern_length(seen: Signal) -> Clues:
    ((lit, dark),) = STERN_PATTERN
    lengths = ([flash.length for flash in seen.stern[:-1]], dark_between(seen.stern))
    if len(seen.stern) >= 5 and all(max(some) - min(some) <= 0.05 for some in lengths):
        long, off = map(median, lengths)
        if _is_other(long, lit) or _is_other(off, dark):
            yield f"the stern is lit for {long:.2f} s and dark for {off:.2f} s each time"


@mistake(
    "one lamp waits for the other",
    "no long sleep: go round a loop every 5 to 10 ms, and ask the clock what each lamp "
    "should show now.",
    explains=[pattern, keeps_time, stern_blinks, log],
)
def waits_for_the_other(seen: Signal) -> Clues:
    """Tell a lamp that stands for longer than it ever should while the other is busy."""
    times = [*(step.time for step in seen.steps[STERN][1:]), seen.recording.seconds]
    stands = [b - a for a, b in zip(times, times[1:], strict=False)]
    if stands and max(stands) > 1.5 and len(seen.mast) >= 4:
        yield f"the stern lamp does not change for {max(stands):.2f} s while the mast is busy"
    pauses = dark_between(seen.mast)
    if len(pauses) >= 3 and max(pauses) > 2.5:
        yield f"the mast stays dark for {max(pauses):.2f} s between two signals"


@mistake(
    "time drifts",
    "waits add up with the time that the rest of the loop takes. Count from one moment: "
    "next = time.ticks_add(next, 4000), or ticks_diff(now, start) % 4000. If you do so "
    "already, look at the clock more often: every 5 to 10 ms.",
    costs=[keeps_time],
)
def drifts(seen: Signal) -> Clues:
    late = seen.lateness
    if seen.wait >= WAIT and seen.misses:
        return  # it comes late to its moments, whether they drift or not
    if fit(seen.mast, PATTERN) < FITS:
        return  # every third flash begins no signal
    gaps = [b - a for a, b in zip(late, late[1:], strict=False)]
    grows = all(gap > 0 for gap in gaps) or all(gap < 0 for gap in gaps)
    if len(late) >= 4 and grows and abs(late[-1]) > LATE:
        each = late[-1] / len(gaps)
        yield (
            f"each signal takes {1000 * abs(each):.1f} ms too {'long' if each > 0 else 'short'}; "
            f"signal {len(late)} is off by {1000 * abs(late[-1]):.0f} ms"
        )


@mistake(
    "too long a wait in the loop",
    "while it waits no lamp can change: look at the clock every 5 to 10 ms, and let neither "
    "lamp's part sleep.",
    explains=[pattern, keeps_time, stern_blinks, log],
)
def waits_too_long(seen: Signal) -> Clues:
    if seen.wait >= WAIT and (seen.misses or fit(seen.mast, PATTERN) < 0.3):
        yield f"the program waits for {1000 * seen.wait:.0f} ms at one go"


@mistake("it begins too late", "the first signal starts within half a second.", costs=[keeps_time])
def begins_late(seen: Signal) -> Clues:
    if seen.starts and seen.starts[0] > BEGIN:
        yield f"the first signal starts at {seen.starts[0]:.2f} s"


@mistake(
    "the log does not go with the signals",
    'print "signal 1: two short, one long" once, as the first flash starts; then 2, and so on.',
    costs=[log],
)
def other_log(seen: Signal) -> Clues:
    if seen.starts and len(seen.log) != len(seen.starts):
        lines, signals = counted(len(seen.log), "line"), counted(len(seen.starts), "signal")
        yield f"{lines} of the log for {signals}"
    for k, ((time, number), start) in enumerate(zip(seen.log, seen.starts, strict=False)):
        if number != k + 1:
            yield f"line {k + 1} of the log says signal {number}"
        elif abs(time - start) >= LOGGED_WITHIN:
            yield f"signal {number} starts at {start:.2f} s, and is in the log at {time:.2f} s"


MISTAKES: tuple[Mistake, ...] = (
    *SLIPS, *LAMP_MISTAKES, exchanged, stops_early, length_missing, sent_by_the_other,
    changes_every_pass, put_out_together, stays_lit, wrong_scale, too_fast, mast_length,
    stern_length, waits_for_the_other, drifts, waits_too_long, begins_late, other_log,
)  # fmt: skip
"""What settles more stands first."""
