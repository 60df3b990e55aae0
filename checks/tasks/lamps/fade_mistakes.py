"""Known mistakes of the task `lamps.fade`, with what to try."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import Recording

from ...readings.light import DARK, Step, counted, history, slept_through, told
from ...task import Mistake
from .rise import BEGIN, DURATION, FULL, MAST, Rise, is_full, others_lit

__all__ = ["MISTAKES", "STUCK"]


def _wrong_lamp(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lit = others_lit(recording)
    if lit and Rise.of(recording) is None:
        return f"the mast lamp (lamp {MAST}) stays dark; {', '.join(lit)} comes up instead"
    return None


def _wrapped(recordings: Sequence[Recording]) -> str | None:
    steps = history(recordings[0], MAST)
    if _begins_again(steps):
        return None
    for before, after in zip(steps, steps[1:], strict=False):
        fell = max(before.colour) >= 200 and max(after.colour) <= 20
        # From 255 itself to dark for good: put out, it may well be on purpose.
        put_out = max(before.colour) == 255 and after is steps[-1] and after.colour == DARK
        if fell and not put_out and after.time - before.time < 0.3:
            return (
                f"at {after.time:.2f} s the number falls from {max(before.colour)} "
                f"to {max(after.colour)}: one more than 255 starts again from 0"
            )
    return None


def _begins_again(steps: Sequence[Step]) -> bool:
    """Say whether the whole rise comes a second time, once the lamp was full."""
    colours = [step.colour for step in steps]
    full = next((k for k, colour in enumerate(colours) if is_full(colour)), len(colours))
    again = colours[full + 1 : full + 5]
    return len(again) == 4 and again == colours[: len(again)]


def _not_from_dark(recordings: Sequence[Recording]) -> str | None:
    """Tell a lamp that begins bright, be it to go down from there."""
    (recording,) = recordings
    rise = Rise.of(recording)
    if rise is None or rise.levels[0] <= 12.0 or len(history(recording, MAST)) < 16:
        return None
    return f"its first light, at {rise.times[0]:.2f} s, has the lightness {rise.levels[0]:.0f}"


def _dark_for_long(recordings: Sequence[Recording]) -> str | None:
    """Tell levels that begin in time, but are too small to be seen."""
    (recording,) = recordings
    rise, frames = Rise.of(recording), [event.seconds for event in recording.of("frame")]
    if rise is None or not frames or not rise.times[0] - frames[0] > 0.25:
        return None
    if abs(rise.times[-1] - frames[0] - DURATION) > 0.4:
        return None
    before = sum(time < rise.times[0] for time in frames)
    if before < 3:
        return None
    return (
        f"for {rise.times[0] - frames[0]:.2f} s all {before} levels that were sent were 0; "
        f"the first light comes at {rise.times[0]:.2f} s"
    )


def _never_goes_on(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    rise, wait = Rise.of(recording), slept_through(recording)
    if wait and (rise is None or len(rise.levels) < 4):
        return f"the program waits for {wait:.0f} s at one go, and the trial is over before"
    return None


def _one_frame(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    frames = list(recording.of("frame"))
    if len(frames) != 1:
        return None
    waits = sum(event.time_ns < frames[0].time_ns for event in recording.of("sleep"))
    if waits < 10:
        return None
    return f"after {waits} waits one frame was sent, at {frames[0].seconds:.2f} s, and no other"


def _too_late(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    return (
        f"the first light comes at {rise.times[0]:.2f} s"
        if (rise and rise.times[0] > BEGIN)
        else None
    )


def _jumps(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 16 or rise.largest_step[0] <= 12.0:
        return None
    step, at = rise.largest_step
    return f"at {at:.2f} s the lightness jumps by {step:.0f} points, while other steps are small"


def _wrong_length(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is not None and abs(rise.seconds - DURATION) > 0.4:
        return f"the rise takes {rise.seconds:.2f} s instead of {DURATION} s"
    return None


def _flickers(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is None:
        return None
    levels = rise.levels
    downs = sum(b < a - 3.0 for a, b in zip(levels, levels[1:], strict=False))
    if downs < 3:  # perhaps it is at its brightest at once, and flickers after that
        numbers = [max(step.colour) for step in history(recordings[0], MAST)]
        downs = sum(b < a - 100 for a, b in zip(numbers, numbers[1:], strict=False))
    return f"on its way up the lamp gets darker {downs} times" if downs >= 3 else None


def _wrong_speed(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 5:
        return None
    if not 0.6 < rise.seconds / DURATION < 1.5:
        return f"the rise takes {rise.seconds:.3f} s instead of {DURATION} s"
    return None


def _raw(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 4 or rise.numbers[-1] < FULL:
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
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) >= 16 or rise.numbers[-1] < 95:
        return None
    if len(history(recordings[0], MAST)) > 16:  # it goes on after it was brightest
        return None
    return f"it comes up in {counted(len(rise.levels), 'step')}"


def _bent_wrong(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is None or len(rise.levels) < 4:
        return None
    off, at = rise.off_line([100 * number / rise.numbers[-1] for number in rise.numbers])
    if off > 8.0:
        return f"at {at:.2f} s the number is already {off:.0f} % of the range above a straight line"
    return None


def _lightness_sent(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is not None and 95 <= rise.numbers[-1] <= 105:
        return f"the rise ends at {rise.numbers[-1]}, where lightness ends, not at 255"
    return None


def _not_white(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    last = max((step.colour for step in history(recordings[0], MAST)), key=max)
    uneven = max(last) - min(last) > 255 - FULL
    return f"it comes up to {told(last)}" if rise and uneven else None


def _all_rise(recordings: Sequence[Recording]) -> str | None:
    lit = others_lit(recordings[0])
    return f"these light up as well: {', '.join(lit)}" if lit else None


def _goes_out(recordings: Sequence[Recording]) -> str | None:
    steps = history(recordings[0], MAST)
    if steps[-1].colour == DARK and len(steps) > 1:
        return f"the lamp goes dark at {steps[-1].time:.2f} s"
    full = next((k for k, step in enumerate(steps) if is_full(step.colour)), len(steps))
    for step in steps[full:]:
        if not is_full(step.colour):
            return f"at {step.time:.2f} s, once it was full, it gets darker again"
    return None


def _stops_short(recordings: Sequence[Recording]) -> str | None:
    rise = Rise.of(recordings[0])
    if rise is not None and rise.numbers[-1] < FULL:
        return f"the largest number that the lamp gets is {rise.numbers[-1]}"
    return None


_SPEED = "steps and waits do not make four seconds"
_SPEED_HINT = (
    "number of steps times the wait of each should make 4 s; sleep() takes seconds, "
    "sleep_ms() milliseconds."
)
STUCK = (
    Mistake("seconds and milliseconds mixed up", _SPEED_HINT, _never_goes_on),
    Mistake(
        "write() outside the loop",
        "each step must be sent: write np.write() into the loop, as far in as np[2] = ...",
        _one_frame,
    ),
)
"""What stops a program on its way; looked for before all others."""
MISTAKES = (
    Mistake("wrong lamp", "counted from 0 the mast is lamp 2 of the chain: np[2].", _wrong_lamp),
    Mistake(
        "the lamp flickers on its way",
        "send only the next level, without going dark in between. And a number beyond 255 starts "
        "again from 0: print the numbers that you send.",
        _flickers,
    ),
    Mistake(
        "a number beyond 255",
        "255 is the largest number of a lamp; hold it back with min(255, ...).",
        _wrapped,
    ),
    Mistake(_SPEED, _SPEED_HINT, _wrong_speed),
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
        "it does not begin dark",
        "begin at 0 and go up; leave out what lights it before.",
        _not_from_dark,
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
    Mistake(
        "the rise stops short of full",
        "the last level is 255: a loop over range(n) ends one before n, and the share of the "
        "full light is still to be taken times 255.",
        _stops_short,
    ),
    Mistake(
        "a jump on the way",
        "where the two parts of the formula meet, at a lightness of 8, both give the number 2; "
        "a lightness of 50 gives 47, and 100 gives 255.",
        _jumps,
    ),
    Mistake(
        "dark for too long at first",
        "the first levels come out as the number 0: the curve is bent too much. At a lightness of "
        "8 the number is 2, at 25 it is 11, at 50 it is 47.",
        _dark_for_long,
    ),
    Mistake(_SPEED, _SPEED_HINT, _wrong_length),
    Mistake("it begins too late", "the first light comes within the first second.", _too_late),
)
