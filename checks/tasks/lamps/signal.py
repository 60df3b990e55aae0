"""Task `lamps.signal`: a signal that keeps time while another lamp blinks by itself."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import LAMPS, Recording

from ...readings.light import DARK, counted, flashing, history, told, white
from ...task import Criterion, Finding, Run, Task, share
from . import signal_mistakes as known
from .beat import (
    BEGIN,
    LATE_FULL,
    LINE,
    MAST,
    PATTERN,
    SIGNALS,
    STERN,
    STERN_FLASHES,
    STERN_PATTERN,
    fit,
    flashes,
    lateness,
    starts,
)
from .slips import SLIPS

__all__ = ["SIGNAL"]

_SECONDS = 21.0
_LATE_NONE = 0.3


def _pattern(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    lights = flashes(recording, MAST)
    asked = "0.3 on, 0.3 off, 0.3 on, 0.3 off, 0.9 on, 1.9 s off, five times"
    if not lights:
        return Finding(0.0, "the mast lamp stays dark", asked)
    part = fit(lights, PATTERN, SIGNALS * len(PATTERN))
    lengths = ", ".join(f"{light.length:.2f}" for light in lights[:3])
    measured = f"{counted(len(lights), 'flash')}, the first lit for {lengths} s"
    if part < 0.999:
        measured += f"; {100 * part:.0f} % of all lengths fit"
    # What fits by chance, one length in three or so, is no signal.
    return Finding(share(1 - part, full=0.001, none=0.7), measured, asked, lights[0].begin)


def _keeps_time(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = (
        f"the first in the first half second, each within {1000 * LATE_FULL:.0f} ms of its moment, "
        "six starts in all"
    )
    late = lateness(recording)
    if len(late) < 2:
        return Finding(0.0, f"{counted(len(late), 'signal')} in {recording.seconds:g} s", asked)
    worst = max(range(len(late)), key=lambda k: abs(late[k]))
    way = "late" if late[worst] >= 0 else "early"
    measured = f"signal {worst + 1} starts {1000 * abs(late[worst]):.0f} ms {way}"
    begun = starts(recording)
    if begun[0] > BEGIN:
        measured += f"; the first starts at {begun[0]:.2f} s"
    missing = max(0, SIGNALS + 1 - len(late))
    if missing:
        measured += f"; {missing} of six starts missing"
    earned = share(abs(late[worst]), full=LATE_FULL, none=_LATE_NONE)
    earned *= share(begun[0], full=BEGIN, none=5.0)
    return Finding(earned * (1 - missing / (SIGNALS + 1)), measured, asked, begun[worst])


def _stern(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "0.75 s on, 0.75 s off, all the time"
    lights = flashes(recording, STERN)
    if len(lights) < 2:
        return Finding(0.0, f"{counted(len(lights), 'flash')} in {recording.seconds:g} s", asked)
    part = fit(lights, STERN_PATTERN, STERN_FLASHES)
    lengths = sorted(light.length for light in lights)
    measured = f"{len(lights)} flashes of {lengths[0]:.2f} to {lengths[-1]:.2f} s"
    return Finding(share(1 - part, full=0.001, none=1.0), measured, asked, lights[0].begin)


def _safe(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "at most 3 in any one second (WCAG 2.3.1)"
    counts = [flashing(history(recording, lamp)) for lamp in range(len(LAMPS))]
    lamp = max(range(len(LAMPS)), key=lambda k: counts[k].most)
    worst = counts[lamp]
    measured = f"at most {worst.most} in a second, at the {LAMPS[lamp]} lamp"
    return Finding(1.0 if 0 < worst.most <= 3 else 0.0, measured, asked, worst.at)


def _colours(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    shown = {
        lamp: {step.colour for step in history(recording, lamp)} - {DARK}
        for lamp in range(len(LAMPS))
    }
    wrong = [
        f"{LAMPS[lamp]} shows {told(max(colours))}"
        for lamp, colours in shown.items()
        if colours and (lamp not in (MAST, STERN) or not all(map(white, colours)))
    ]
    measured = "; ".join(wrong) or "mast and stern white, the others dark"
    asked = "mast and stern white when lit, the others dark"
    return Finding(1.0 - len(wrong) / len(LAMPS) if shown[MAST] else 0.0, measured, asked)


def _log(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = '"signal 1: two short, one long" when the first starts, and so on'
    lines = [(t, int(found[1])) for t, text in recording.printed if (found := LINE.fullmatch(text))]
    begun = starts(recording)[: SIGNALS + 1]
    good = sum(
        any(number == k + 1 and abs(time - start) < 0.1 for time, number in lines)
        for k, start in enumerate(begun)
    )
    missed = 1 - good / (SIGNALS + 1) + (0.5 if len(lines) > len(begun) + 1 else 0.0)
    measured = f"{good} of six lines at the right moment, {len(lines)} in all"
    return Finding(share(missed, full=0.001, none=1.0), measured, asked)


SIGNAL = Task(
    id="lamps.signal",
    title="A signal that keeps time",
    program="signal.py",
    runs=(Run(_SECONDS),),
    criteria=(
        Criterion("The mast signals: two short, one long", 3, _pattern, essential=True),
        Criterion("The signals keep time", 3, _keeps_time),
        Criterion("The stern lamp blinks by itself", 2, _stern),
        Criterion("No lamp flashes too fast", 2, _safe),
        Criterion("White when lit, the other lamps dark", 1, _colours),
        Criterion("The console keeps the log", 1, _log),
    ),
    mistakes=(*SLIPS, *known.MISTAKES),
)
"""Twelve points."""
