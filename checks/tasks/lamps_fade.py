"""Task `lamps.fade`: the mast lamp comes up evenly to the eye."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from robotsim import LAMPS, Recording

from ..light import DARK, SLIPS, Colour, held, history, lightness, luminance, told, white
from ..task import Criterion, Finding, Mistake, Run, Task, share

__all__ = ["FADE"]

_SECONDS = 7.0
_MAST = 2
_DURATION = 4.0
_SHORTEST = 0.5
"""A rise that takes less time, in s, looks like a lamp that is switched on."""
_FULL = 240
"""A mast lamp with at least this as its strongest number counts as full."""
_NO_RISE = Finding(0.0, "the mast lamp does not come up", "")


@dataclass(frozen=True)
class _Rise:
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
    def of(cls, recording: Recording, lamp: int = _MAST) -> _Rise | None:
        """Read it from a recording; None if the lamp stays dark."""
        steps = history(recording, lamp)
        lights = [lightness(luminance(step.colour)) for step in steps]
        top = max(lights)
        if top == 0.0:
            return None
        first = next(k for k, light in enumerate(lights) if light > 0.0)
        last = lights.index(top)
        part = slice(first, last + 1)
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


def _small_steps(recordings: Sequence[Recording]) -> Finding:
    asked = "no step of more than 8 points of lightness (of 100)"
    rise = _Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    largest, at = rise.largest_step
    measured = f"{len(rise.levels)} steps, the largest {largest:.1f} points"
    return Finding(share(largest, full=8.0, none=40.0), measured, asked, at)


def _even(recordings: Sequence[Recording]) -> Finding:
    asked = "within 10 points of an even rise"
    rise = _Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 2:
        return Finding(0.0, _NO_RISE.measured if rise is None else "it comes on at once", asked)
    if rise.seconds < _SHORTEST:
        return Finding(0.0, f"over in {rise.seconds:.3f} s, too fast to see", asked)
    off, at = rise.off_line(rise.levels)
    side = "lighter" if off > 0 else "darker"
    measured = f"up to {abs(off):.1f} points {side} than an even rise"
    return Finding(share(abs(off), full=10.0, none=30.0), measured, asked, at)


def _four_seconds(recordings: Sequence[Recording]) -> Finding:
    asked = f"{_DURATION} s from first light to full, within 0.4 s"
    rise = _Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    earned = share(abs(rise.seconds - _DURATION), full=0.4, none=2.0)
    return Finding(earned, f"it takes {rise.seconds:.2f} s", asked, rise.times[-1])


def _never_back(recordings: Sequence[Recording]) -> Finding:
    asked = "never darker than before on the way up"
    rise = _Rise.of(recordings[0])
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    fallen, at = rise.fallen
    measured = f"falls back by {fallen:.1f} points in all" if fallen else "only ever rises"
    return Finding(share(fallen, full=0.5, none=20.0), measured, asked, at if fallen else None)


def _is_full(colour: Colour) -> bool:
    return white(colour) and max(colour) >= _FULL


def _stays(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "full white, (255, 255, 255), until the end"
    rise = _Rise.of(recording)
    if rise is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    steps = history(recording, _MAST)
    since = min(rise.times[-1], recording.seconds - 0.01)
    part = held(steps, _is_full, since, recording.seconds)
    measured = f"ends {told(steps[-1].colour)}"
    if 0.0 < part < 0.999:
        measured += f"; full for {100 * part:.0f} % of the time after"
    return Finding(share(1 - part, full=0.001, none=1.0), measured, asked, steps[-1].time)


def _others_lit(recording: Recording) -> list[str]:
    others = (lamp for lamp in range(len(LAMPS)) if lamp != _MAST)
    return [LAMPS[lamp] for lamp in others if len(history(recording, lamp)) > 1]


def _others_dark(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    lit = _others_lit(recording)
    asked = "the other four dark all the time"
    if _Rise.of(recording) is None:
        return Finding(0.0, _NO_RISE.measured, asked)
    measured = f"lit: {', '.join(lit)}" if lit else "the other four are dark"
    return Finding(1 - len(lit) / 4, measured, asked)


# -- known mistakes ----------------------------------------------------------


def _wrong_lamp(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lit = _others_lit(recording)
    if lit and _Rise.of(recording) is None:
        return f"the mast lamp (lamp {_MAST}) stays dark; {', '.join(lit)} comes up instead"
    return None


def _wrapped(recordings: Sequence[Recording]) -> str | None:
    steps = history(recordings[0], _MAST)
    for before, after in zip(steps, steps[1:], strict=False):
        fell = max(before.colour) >= 200 and max(after.colour) <= 20
        if fell and after.time - before.time < 0.3:
            return (
                f"at {after.time:.2f} s the number falls from {max(before.colour)} "
                f"to {max(after.colour)}: one more than 255 starts again from 0"
            )
    return None


def _flickers(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is None:
        return None
    levels = rise.levels
    downs = sum(b < a - 3.0 for a, b in zip(levels, levels[1:], strict=False))
    return f"on its way up the lamp gets darker {downs} times" if downs >= 3 else None


def _wrong_speed(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 5:
        return None
    if not 0.6 < rise.seconds / _DURATION < 1.5:
        return f"the rise takes {rise.seconds:.3f} s instead of {_DURATION} s"
    return None


def _raw(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 4 or rise.numbers[-1] < _FULL:
        return None
    numbers = [100 * number / rise.numbers[-1] for number in rise.numbers]
    off, _ = rise.off_line(numbers)
    if abs(off) > 8.0 or abs(rise.off_line(rise.levels)[0]) < 20.0:
        return None
    half = rise.times[0] + rise.seconds / 2
    at = max(k for k, time in enumerate(rise.times) if time <= half)
    return (
        f"half-way the number is {rise.numbers[at]} of {rise.numbers[-1]}, "
        f"but the lightness already {rise.levels[at]:.0f} of 100"
    )


def _too_few(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is None or len(rise.levels) >= 16:
        return None
    return f"it comes up in {len(rise.levels)} step(s)"


def _bent_wrong(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 4:
        return None
    off, at = rise.off_line([100 * number / rise.numbers[-1] for number in rise.numbers])
    if off > 8.0:
        return f"at {at:.2f} s the number is already {off:.0f} % of the range above a straight line"
    return None


def _lightness_sent(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is not None and 95 <= rise.numbers[-1] <= 105:
        return f"the rise ends at {rise.numbers[-1]}, where lightness ends, not at 255"
    return None


def _not_white(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    last = max((step.colour for step in history(recordings[0], _MAST)), key=max)
    return f"it comes up to {told(last)}" if rise and not white(last) else None


def _all_rise(recordings: Sequence[Recording]) -> str | None:
    lit = _others_lit(recordings[0])
    return f"these light up as well: {', '.join(lit)}" if lit else None


def _goes_out(recordings: Sequence[Recording]) -> str | None:
    steps = history(recordings[0], _MAST)
    if steps[-1].colour == DARK and len(steps) > 1:
        return f"the lamp goes dark at {steps[-1].time:.2f} s"
    return None


def _stops_short(recordings: Sequence[Recording]) -> str | None:
    rise = _Rise.of(recordings[0])
    if rise is not None and rise.numbers[-1] < _FULL:
        return f"the largest number that the lamp gets is {rise.numbers[-1]}"
    return None


_MISTAKES = (
    Mistake("wrong lamp", "counted from 0 the mast is lamp 2 of the chain: np[2].", _wrong_lamp),
    Mistake(
        "the lamp flickers on its way",
        "send only the next level, without going dark in between.",
        _flickers,
    ),
    Mistake(
        "a number beyond 255",
        "255 is the largest number of a lamp; hold it back with min(255, ...).",
        _wrapped,
    ),
    Mistake(
        "steps and waits do not make four seconds",
        "number of steps times the wait of each should make 4 s; sleep() takes seconds, "
        "sleep_ms() milliseconds.",
        _wrong_speed,
    ),
    Mistake(
        "equal steps of the number",
        "let the lightness rise in equal steps, and work out the number for each.",
        _raw,
    ),
    Mistake(
        "lightness sent as it is",
        "lightness goes to 100, the lamp's number to 255: work out the one from the other.",
        _lightness_sent,
    ),
    Mistake("too few steps", "forty steps or more look smooth.", _too_few),
    Mistake(
        "the curve is bent the wrong way",
        "the number must grow slowly at first and fast at the end: a power above 1, not below.",
        _bent_wrong,
    ),
    Mistake(
        "not white",
        "white is red, green and blue in equal parts: (v, v, v).",
        _not_white,
    ),
    Mistake("other lamps come up too", "set np[2] alone; fill() lights all of them.", _all_rise),
    Mistake(
        "the lamp goes out again",
        "leave it at full: the chip keeps what it was last sent.",
        _goes_out,
    ),
    Mistake("the rise stops short of full", "the last level is 255.", _stops_short),
)

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
    mistakes=(*SLIPS, *_MISTAKES),
)
"""Ten points."""
