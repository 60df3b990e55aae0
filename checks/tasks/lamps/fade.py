"""Task `lamps.fade`: the mast lamp comes up evenly to the eye."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import Recording

from ...readings.light import counted, held, history, told
from ...task import Criterion, Finding, Run, Task, share
from . import fade_mistakes as known
from .rise import BEGIN, DURATION, MAST, Rise, is_full, others_lit
from .slips import SLIPS

__all__ = ["FADE"]

_SECONDS = 7.0
_SHORTEST = 0.5
"""A rise that takes less time, in s, looks like a lamp that is switched on."""
_NO_RISE = Finding(0.0, "the mast lamp does not come up", "")


def _small_steps(recordings: Sequence[Recording]) -> Finding:
    asked = "no step of more than 8 points of lightness (of 100)"
    rise = Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    largest, at = rise.largest_step
    measured = f"{counted(len(rise.levels), 'step')}, the largest {largest:.1f} points"
    return Finding(share(largest, full=8.0, none=40.0), measured, asked, at)


def _even(recordings: Sequence[Recording]) -> Finding:
    asked = "within 10 points of an even rise"
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 2:
        return Finding(0.0, _NO_RISE.measured if rise is None else "it comes on at once", asked)
    if rise.seconds < _SHORTEST:
        return Finding(0.0, f"over in {rise.seconds:.3f} s, too fast to see", asked)
    off, at = rise.off_line(rise.levels)
    side = "lighter" if off > 0 else "darker"
    measured = f"up to {abs(off):.1f} points {side} than an even rise"
    return Finding(share(abs(off), full=10.0, none=30.0), measured, asked, at)


def _four_seconds(recordings: Sequence[Recording]) -> Finding:
    asked = f"{DURATION} s from first light to full, within 0.4 s, begun in the first second"
    rise = Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    earned = share(abs(rise.seconds - DURATION), full=0.4, none=2.0)
    earned *= share(rise.times[0], full=BEGIN, none=_SECONDS)
    measured = f"it takes {rise.seconds:.2f} s"
    if rise.times[0] > BEGIN:
        measured += f", and begins at {rise.times[0]:.2f} s"
    return Finding(earned, measured, asked, rise.times[-1])


def _never_back(recordings: Sequence[Recording]) -> Finding:
    asked = "never darker than before on the way up"
    rise = Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    fallen, at = rise.fallen
    measured = f"falls back by {fallen:.1f} points in all" if fallen else "only ever rises"
    return Finding(share(fallen, full=0.5, none=20.0), measured, asked, at if fallen else None)


def _stays(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "full white, (255, 255, 255), until the end"
    rise = Rise.of(recording)
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    steps = history(recording, MAST)
    since = min(rise.times[-1], recording.seconds - 0.01)
    part = held(steps, is_full, since, recording.seconds)
    measured = f"ends {told(steps[-1].colour)}"
    if 0.0 < part < 0.999:
        measured += f"; full for {100 * part:.0f} % of the time after"
    left = next((s.time for s in steps if s.time > since and not is_full(s.colour)), since)
    return Finding(share(1 - part, full=0.001, none=1.0), measured, asked, left)


def _others_dark(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    lit = others_lit(recording)
    asked = "the other four dark all the time"
    if Rise.of(recording) is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    measured = f"lit: {', '.join(lit)}" if lit else "the other four are dark"
    return Finding(1 - len(lit) / 4, measured, asked)


FADE = Task(
    id="lamps.fade",
    title="An even dawn",
    program="fade.py",
    runs=(Run(_SECONDS),),
    criteria=(
        Criterion("The mast lamp comes up in small steps", 1, _small_steps, essential=True),
        Criterion("It comes up evenly to the eye", 4, _even),
        Criterion("It takes four seconds", 2, _four_seconds),
        Criterion("It never falls back", 1, _never_back),
        Criterion("It ends at full white and stays", 1, _stays),
        Criterion("The other lamps stay dark", 1, _others_dark),
    ),
    mistakes=(*known.STUCK, *SLIPS, *known.MISTAKES),
)
"""Ten points."""
