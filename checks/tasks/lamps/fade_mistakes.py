"""Known mistakes of the task `lamps.fade`, with what to try."""

from __future__ import annotations

from ...readings.colour import DARK, described
from ...readings.light import slept_through
from ...task import Clues, Evidence, Mistake, mistake
from ...words import counted
from .fade import (
    BEGIN,
    DURATION,
    FULL,
    MAST,
    OFF,
    SHORTEST,
    UNEVEN,
    Dawn,
    comes_up,
    even,
    four_seconds,
    is_full,
    never_back,
    others_dark,
    stays,
)
from .slips import SLIPS

__all__ = ["MISTAKES"]

_NEAR = 240
"""A rise that ends at this number or above lacks its last step, one below lacks more than that."""
SMOOTH = 16
"""With so many steps and more a rise is not one of too few."""
SPEED = (
    "steps and waits do not make four seconds",
    "number of steps times the wait of each should make 4 s; sleep() takes seconds, "
    "sleep_ms() milliseconds.",
)


@mistake("seconds and milliseconds mixed up", SPEED[1])
def never_goes_on(seen: Dawn) -> Clues:
    wait = slept_through(seen.recording)
    if wait and (seen.rise is None or len(seen.rise.levels) < 4):
        yield f"the program waits for {wait:.0f} s at one go, and the trial is over before"


@mistake(
    "write() outside the loop",
    "each step must be sent: write np.write() into the loop, as far in as np[2] = ...",
)
def one_frame(seen: Dawn) -> Clues:
    frames = list(seen.recording.of("frame"))
    if len(frames) == 1:
        waits = sum(event.time_ns < frames[0].time_ns for event in seen.recording.of("sleep"))
        if waits >= 10:
            at = frames[0].seconds
            yield f"after {waits} waits one frame was sent, at {at:.2f} s, and no other"


@mistake("wrong lamp", f"counted from 0 the mast is lamp {MAST} of the chain: np[{MAST}].")
def wrong_lamp(seen: Dawn) -> Clues:
    if seen.others_lit and seen.rise is None:
        others = ", ".join(seen.others_lit)
        yield f"the mast lamp (lamp {MAST}) stays dark; {others} comes up instead"


@mistake(
    "the lamp flickers on its way",
    "send only the next level, without going dark in between. And a number beyond 255 starts "
    "again from 0: print the numbers that you send.",
    explains=[comes_up, even, four_seconds, never_back, stays],
)
def flickers(seen: Dawn) -> Clues:
    if seen.rise is None:
        return
    levels = seen.rise.levels
    downs = sum(b < a - 3.0 for a, b in zip(levels, levels[1:], strict=False))
    if downs < 3:  # perhaps it is at its brightest at once, and flickers after that
        numbers = [max(step.colour) for step in seen.steps]
        downs = sum(b < a - 100 for a, b in zip(numbers, numbers[1:], strict=False))
    if downs >= 3:
        yield f"on its way up the lamp gets darker {downs} times"


@mistake(
    "a number beyond 255",
    "255 is the largest number of a lamp; hold it back with min(255, ...).",
    explains=[even, four_seconds, never_back, stays],
)
def beyond_255(seen: Dawn) -> Clues:
    again = [step.colour for step in seen.since_full[1:5]]
    if len(again) == 4 and again == [step.colour for step in seen.steps[: len(again)]]:
        return  # the whole rise comes a second time
    for before, after in zip(seen.steps, seen.steps[1:], strict=False):
        fell = max(before.colour) >= 200 and max(after.colour) <= 20
        # From 255 itself to dark for good: put out, it may well be on purpose.
        put_out = max(before.colour) == 255 and after is seen.steps[-1] and after.colour == DARK
        if fell and not put_out and after.time - before.time < 0.3:
            yield (
                f"at {after.time:.2f} s the number falls from {max(before.colour)} "
                f"to {max(after.colour)}: one more than 255 starts again from 0"
            )


@mistake(*SPEED, costs=[four_seconds, even])
def over_at_once(seen: Dawn) -> Clues:
    if seen.rise and len(seen.rise.levels) >= 5 and seen.rise.seconds < SHORTEST:
        yield f"the rise takes {seen.rise.seconds:.3f} s instead of {DURATION:g} s"


@mistake(
    "equal steps of the number",
    "let the lightness rise in equal steps, and work out the number for each.",
    costs=[even],
    explains=[comes_up],
)
def equal_numbers(seen: Dawn) -> Clues:
    rise = seen.rise
    if rise is None or len(rise.levels) < 4 or rise.numbers[-1] < FULL:
        return
    off, _ = rise.off_line([100 * number / rise.numbers[-1] for number in rise.numbers])
    if abs(off) <= 8.0 and abs(rise.off_line(rise.levels)[0]) >= 20.0:
        half = rise.times[0] + rise.seconds / 2
        at = max(k for k, time in enumerate(rise.times) if time <= half)
        yield (
            f"half-way the number is {rise.numbers[at]} of {rise.numbers[-1]}, "
            f"but the lightness already {rise.levels[at]:.0f} of 100"
        )


@mistake(
    "lightness sent as it is",
    "lightness goes to 100, the lamp's number to 255: work out the one from the other.",
    costs=[stays, even],
    explains=[comes_up],
)
def lightness_sent(seen: Dawn) -> Clues:
    if seen.rise and 95 <= seen.rise.numbers[-1] <= 105:
        yield f"the rise ends at {seen.rise.numbers[-1]}, where lightness ends, not at 255"


@mistake(
    "too few steps",
    "forty steps or more look smooth.",
    explains=[comes_up, even, four_seconds],
)
def too_few_steps(seen: Dawn) -> Clues:
    rise = seen.rise
    # With more changes than that it goes on after it was brightest.
    if rise and len(rise.levels) < SMOOTH and rise.numbers[-1] >= 95 and len(seen.steps) <= SMOOTH:
        yield f"it comes up in {counted(len(rise.levels), 'step')}"


@mistake(
    "the curve is bent the wrong way",
    "the number must grow slowly at first and fast at the end: a power above 1, not below.",
    costs=[even],
    explains=[comes_up],
)
def bent_the_wrong_way(seen: Dawn) -> Clues:
    rise = seen.rise
    if rise is None or len(rise.levels) < 4:
        return
    off, at = rise.off_line([100 * number / rise.numbers[-1] for number in rise.numbers])
    if off > 8.0:
        yield f"at {at:.2f} s the number is already {off:.0f} % of the range above a straight line"


@mistake(
    "it does not begin dark",
    "begin at 0 and go up; leave out what lights it before.",
    explains=[comes_up, even, four_seconds, never_back, stays],
)
def begins_bright(seen: Dawn) -> Clues:
    """Tell a lamp that begins bright, be it to go down from there."""
    rise = seen.rise
    if rise and rise.levels[0] > 12.0 and len(seen.steps) >= SMOOTH:
        yield f"its first light, at {rise.times[0]:.2f} s, has the lightness {rise.levels[0]:.0f}"


@mistake(
    "not white",
    "white is red, green and blue in equal parts: (v, v, v).",
    costs=[stays],
    explains=[even],
)
def not_white(seen: Dawn) -> Clues:
    last = max((step.colour for step in seen.steps), key=max)
    if seen.rise and max(last) - min(last) > 255 - FULL:
        yield f"it comes up to {described(last)}"


@mistake(
    "other lamps come up too",
    f"set np[{MAST}] alone; fill() lights all of them.",
    costs=[others_dark],
)
def others_rise(seen: Dawn) -> Clues:
    if seen.others_lit:
        yield f"these light up as well: {', '.join(seen.others_lit)}"


@mistake(
    "the lamp goes out again",
    "leave it at full: the chip keeps what it was last sent.",
    costs=[stays],
)
def goes_out(seen: Dawn) -> Clues:
    if seen.steps[-1].colour == DARK and len(seen.steps) > 1:
        yield f"the lamp goes dark at {seen.steps[-1].time:.2f} s"
    for step in seen.since_full:
        if not is_full(step.colour):
            yield f"at {step.time:.2f} s, once it was full, it gets darker again"


@mistake(
    "the rise stops short of full",
    "the last level is 255, and a loop over range(n) ends one before n.",
    costs=[stays],
    explains=[comes_up, even],
)
def stops_short(seen: Dawn) -> Clues:
    rise = seen.rise
    if rise is None or rise.numbers[-1] >= FULL:
        return
    last = rise.numbers[-1]
    if last >= _NEAR:
        hint = ""
    elif rise.seconds > 0 and abs(rise.off_line(rise.levels)[0]) <= UNEVEN:
        hint = (
            f"the rise has the right shape, but all of the light became {last}: a lamp's numbers "
            "go to 255, so multiply by 255."
        )
    else:
        hint = (
            "put a lightness of 100 into the formula: it must give 1, all of the light, and 255 "
            "times that is the number."
        )
    yield Evidence(f"the largest number that the lamp gets is {last}", hint)


@mistake(
    "a jump on the way",
    "where the two parts of the formula meet, at a lightness of 8, both give the number 2; "
    "a lightness of 50 gives 47, and 100 gives 255.",
    explains=[comes_up, even],
)
def jumps(seen: Dawn) -> Clues:
    if seen.rise and len(seen.rise.levels) >= SMOOTH and seen.rise.largest_step[0] > 12.0:
        step, at = seen.rise.largest_step
        yield f"at {at:.2f} s the lightness jumps by {step:.0f} points, while other steps are small"


@mistake(
    "dark for too long at first",
    "the first levels come out as the number 0: the curve is bent too much. At a lightness of "
    "8 the number is 2, at 25 it is 11, at 50 it is 47.",
    costs=[four_seconds],
    explains=[even],
)
def dark_for_long(seen: Dawn) -> Clues:
    """Tell levels that begin in time, but are too small to be seen."""
    rise, frames = seen.rise, [event.seconds for event in seen.recording.of("frame")]
    if rise is None or not frames or not rise.times[0] - frames[0] > 0.25:
        return
    before = sum(time < rise.times[0] for time in frames)
    if before >= 3 and abs(rise.times[-1] - frames[0] - DURATION) <= OFF:
        yield (
            f"for {rise.times[0] - frames[0]:.2f} s all {before} levels that were sent were 0; "
            f"the first light comes at {rise.times[0]:.2f} s"
        )


@mistake(*SPEED, costs=[four_seconds, stays], explains=[comes_up, even])
def still_rising(seen: Dawn) -> Clues:
    rise, end = seen.rise, seen.recording.seconds
    if rise and rise.seconds > DURATION + OFF and rise.numbers[-1] < FULL and seen.on_its_way:
        yield f"when the time was up, at {end:g} s, the number was {rise.numbers[-1]} and rising"


@mistake(*SPEED, costs=[four_seconds])
def other_length(seen: Dawn) -> Clues:
    if seen.rise and abs(seen.rise.seconds - DURATION) > OFF:
        yield f"the rise takes {seen.rise.seconds:.2f} s instead of {DURATION:g} s"


@mistake("it begins too late", "the first light comes within the first second.",
         costs=[four_seconds])  # fmt: skip
def begins_late(seen: Dawn) -> Clues:
    if seen.rise and seen.rise.times[0] > BEGIN:
        yield f"the first light comes at {seen.rise.times[0]:.2f} s"


MISTAKES: tuple[Mistake, ...] = (
    never_goes_on, one_frame, *SLIPS, wrong_lamp, flickers, beyond_255, over_at_once, equal_numbers,
    lightness_sent, too_few_steps, bent_the_wrong_way, begins_bright, not_white, others_rise,
    still_rising, goes_out, stops_short, jumps, dark_for_long, other_length, begins_late,
)  # fmt: skip
"""What stops a program on its way comes first."""
