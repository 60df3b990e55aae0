"""Task `line.calibrate`: each eye's count over the paper and over the line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from ...readings.line import EYE_PINS, SEEN, TOP_COUNT
from ...readings.motion import at_rest
from ...readings.rest import busy
from ...task import Clues, Criterion, Finding, Run, Task, criterion, mistake, share
from ..trials import judged, known
from . import eyes
from .report import reported
from .trial import Line, Trial, bound

__all__ = ["CALIBRATE"]

SECONDS = 8.0
OTHER_TUG = 30
"""A tug whose eyes differ much: what was read on one's own will not do for it."""
NEAR, FAR = 80.0, 300.0
"""Counts off the truth that still earn all, and that earn nothing."""
FORM = "`eye 0 white 812 black 2730`"
_NOISE = 25.0
"""Counts by which a mean or a filtered value may lie outside an eye's readings."""
_GROUND = {"white": "the paper", "black": "the line"}


def _was_read(one: Trial, eye: int, number: float) -> bool:
    """Tell whether an eye's readings came to a number, give or take some noise."""
    counts = one.counts[eye]
    return bool(counts) and min(counts) - _NOISE <= number <= max(counts) + _NOISE


@criterion(
    "Every eye sees paper and line", 2, essential=True,
    asks=f"each of the four eyes is read over the paper and over the line, within {SECONDS:g} s",
)  # fmt: skip
def sees_both(seen: Line) -> Finding:
    got, words, trial = 0.0, "all four eyes were over both", 0
    for k, one in enumerate(seen.trials):
        for eye, counts in enumerate(one.counts):
            white, black = one.truth.white[eye], one.truth.black[eye]
            # An eye that stands still sees one of the two: that is no calibrating.
            if counts and min(counts) < white + NEAR and max(counts) > black - NEAR:
                got += 1 / (4 * len(seen.trials))
            elif words.startswith("all"):
                span = f"read {min(counts)} to {max(counts)}" if counts else "was never read"
                words, trial = f"{one.name}eye {eye} {span}", k
                words += f"; over paper and line it reads {white:.0f} and {black:.0f}"
    return Finding(got, words, trial=trial)


def _reports(colour: str) -> Criterion:
    """Make the criterion of one colour's four counts."""

    def judge(seen: Line) -> Finding:
        got, worst, words, trial = 0.0, -1.0, "", 0
        for (k, one), eye in itertools.product(enumerate(seen.trials), range(4)):
            off, told = _off(one, eye, colour)
            got += share(off, full=NEAR, none=FAR) / (4 * len(seen.trials))
            if off > worst:
                worst, words, trial = off, one.name + told, k
        return Finding(got, words, trial=trial)

    return Criterion(
        f"It reports the four counts of {colour}", 2.5, judge,
        asks=f"lines like {FORM}, these words and numbers in this order (commas, colons "
        f"and capitals are free): each eye's own count over {_GROUND[colour]}, within {NEAR:.0f}, "
        "and read in that run",
    )  # fmt: skip


def _off(one: Trial, eye: int, colour: str) -> tuple[float, str]:
    """Give how far what was reported of an eye is off, in counts, and that in words."""
    report = reported(one.recording).get(eye)
    if report is None:
        return FAR, f"no line {FORM.replace('0', str(eye), 1)} was printed"
    number, truth = getattr(report, colour), getattr(one.truth, colour)[eye]
    words = f"eye {eye} reported as {number:g}, it reads {truth:.0f}"
    if not _was_read(one, eye, number):
        return FAR, words + " (and never read what was reported)"
    return abs(number - truth), words


white, black = REPORTS = _reports("white"), _reports("black")


def _back(one: Trial) -> Finding:
    if on := busy(one.recording):
        return Finding(0.0, on)
    if not at_rest(one.recording):
        return Finding(0.0, "still moving at the end")
    if (aside := abs(one.went.aside[-1])) > SEEN:
        return Finding(0.0, f"the row of eyes ended {1000 * aside:.0f} mm off the line")
    return Finding(1.0, "at rest, the line beneath the eyes")


on_line = Criterion(
    "It stands on the line again", 1, judged(_back),
    asks=f"at the end at rest, both motors off (neither driven nor braked), the line still beneath "
    f"the eyes: the middle of the row within {1000 * SEEN:.0f} mm of it",
)  # fmt: skip


# -- mistakes ----------------------------------------------------------------


@known(
    "counts in the 16-bit scale",
    "report what `read()` gives, 0 to 4095; `read_u16()` gives the same on a scale to 65535.",
    costs=REPORTS,
)
def scale_u16(one: Trial) -> Clues:
    most = max((n for report in reported(one.recording).values() for n in report), default=0.0)
    if most > TOP_COUNT:
        yield f"{most:g} was reported, and read() counts only to {TOP_COUNT}"


@known(
    "black and white exchanged",
    "much light pulls the voltage down: white gives the low count, black the high one.",
    costs=REPORTS,
)
def exchanged(one: Trial) -> Clues:
    found = reported(one.recording)
    turned = [
        white > black and _was_read(one, eye, white) and _was_read(one, eye, black)
        for eye, (white, black) in found.items()
    ]
    if found and all(turned):
        eye, report = next(iter(found.items()))
        yield f"eye {eye} was reported with white {report.white:g} above black {report.black:g}"


@known(
    "the report has not the form agreed",
    'for k from 0 to 3: `print("eye", k, "white", white[k], "black", black[k])`.',
    costs=REPORTS,
)
def no_lines(one: Trial) -> Clues:
    found, lines = reported(one.recording), [text for _, text in one.recording.printed]
    if len(found) < len(EYE_PINS) and (lines or one.finished):
        shown = f"the first line printed was {lines[0][:60]!r}" if lines else "nothing was printed"
        yield f"{len(found)} of 4 eyes were reported as {FORM}; {shown}"


@known(
    "never comes to its report",
    "a loop that waits until the eyes show something ends only if they do. Print what they read: "
    "are the pins in their order, 36, 39, 34, 35, and do you compare with a count that lies "
    "between white and black?",
    costs=REPORTS, explains=[on_line], sure=False,
)  # fmt: skip
def still_busy(one: Trial) -> Clues:
    if not one.finished and not one.recording.printed:
        yield f"after {SECONDS:.0f} s the program was still running, and had printed nothing"


@mistake(
    "the same numbers on two tugs",
    "print `white[k]` and `black[k]`, read in this run, and no numbers that stand in the program.",
    explains=REPORTS,
)
def copied(seen: Line) -> Clues:
    one, other = (reported(trial.recording) for trial in seen.trials)
    numbers = [number for report in one.values() for number in report]
    # What a list begins with is alike on all tugs too, and is another mistake.
    if numbers and one == other and not {0, TOP_COUNT} & {*numbers}:
        told = ", ".join(f"{number:g}" for number in numbers)
        yield f"both runs reported {told}, the same to the last count, though eyes and ink differ"


@known(
    "same numbers for unequal eyes",
    "keep a lowest and a highest count for each eye: a list of four, not one for all.",
    explains=REPORTS,
)
def alike(one: Trial) -> Clues:
    found, paper = reported(one.recording), one.truth.white
    if len(found) < 4 or len(set(found.values())) > 1 or max(paper) - min(paper) <= NEAR:
        return
    if all(any(_was_read(one, eye, number) for eye in range(4)) for number in found[0]):
        yield (
            f"all four eyes were reported as {found[0].white:g} and {found[0].black:g}, "
            f"but over the paper they read {min(paper):.0f} to {max(paper):.0f}"
        )


@known(
    "eyes in the wrong order",
    "from port to starboard the pins are 36, 39, 34, 35: eye 0 is pin 36, eye 3 pin 35.",
    explains=REPORTS,
)
def other_order(one: Trial) -> Clues:
    found = reported(one.recording)
    if len(found) < 4:
        return

    def misfit(order: Sequence[int]) -> float:
        return sum(abs(found[k].white - one.truth.white[order[k]]) for k in range(4))

    best = min(itertools.permutations(range(4)), key=misfit)
    if misfit(range(4)) > 200 and misfit(best) < 0.3 * misfit(range(4)):
        yield "the numbers fit the eyes in the order " + ", ".join(map(str, best))


@known(
    "the lists still hold what they began with",
    "white begins at 4095 and black at 0; in each round: `white[k] = min(white[k], count)`, "
    "`black[k] = max(black[k], count)`; print after the swing.",
    explains=REPORTS,
)
def never_kept(one: Trial) -> Clues:
    for eye, report in reported(one.recording).items():
        kept = [
            f"{colour} {number:g}"
            for colour, number in zip(report._fields, report, strict=True)
            if number in (0, TOP_COUNT) and not _was_read(one, eye, number)
        ]
        if kept and one.counts[eye]:
            yield f"eye {eye} was reported with {' and '.join(kept)}, which it never read"


@known(
    "numbers that were never read",
    "another ink and another tug give other counts: report what was read in this run.",
    explains=REPORTS,
)
def fixed(one: Trial) -> Clues:
    for eye, report in reported(one.recording).items():
        for name, number in zip(report._fields, report, strict=True):
            if not _was_read(one, eye, number):
                counts = one.counts[eye]
                span = f"read {min(counts)} to {max(counts)}" if counts else "was never read"
                yield f"eye {eye}: {name} {number:g} was reported, but the eye {span}"


@known(
    "the swing does not bring every eye over both",
    "let the tug turn on the spot, farther to both sides, and read all the while; if it hardly "
    "stirs, the effort is below its start duty.",
    costs=[sees_both], explains=REPORTS,
)  # fmt: skip
def small_swing(one: Trial) -> Clues:
    heads = one.recording.tracks["heading"]
    swing = (
        f"it turned {math.degrees(heads[0] - min(heads)):.0f} degrees to starboard and "
        f"{math.degrees(max(heads) - heads[0]):.0f} to port"
    )
    for eye, counts in enumerate(one.counts):
        if counts and max(counts) < one.truth.black[eye] - NEAR:
            yield f"eye {eye} was never over the line: {swing}"
        if counts and min(counts) > one.truth.white[eye] + NEAR:
            yield f"eye {eye} was never over the paper alone: {swing}"


@known(
    "neither the lowest nor the highest count",
    "in each round: `white[k] = min(white[k], count)`, `black[k] = max(black[k], count)`.",
    explains=REPORTS,
)
def not_extreme(one: Trial) -> Clues:
    for eye, report in reported(one.recording).items():
        counts = one.counts[eye]
        saw_both = counts and max(counts) - min(counts) > 500
        if saw_both and max(report.white - min(counts), max(counts) - report.black) > 150:
            yield (
                f"eye {eye} was reported as {report.white:g} and {report.black:g}, though it "
                f"had read {min(counts)} to {max(counts)}"
            )


@known(
    "does not come back to the line",
    "turn back by what you turned out; or turn until the middle eyes are dark again.",
    costs=[on_line],
)
def off_line(one: Trial) -> Clues:
    if (aside := abs(one.went.aside[-1])) > SEEN:
        yield f"the row of eyes ended {1000 * aside:.0f} mm off the line"


CALIBRATE = Task(
    id="line.calibrate",
    title="Calibrate the eyes",
    program="calibrate.py",
    runs=(Run(SECONDS, "quay"), Run(SECONDS, "quay", seed=4, serial=OTHER_TUG)),
    criteria=(sees_both, *REPORTS, on_line),
    mistakes=(
        *eyes.READING, eyes.no_eye, *eyes.DRIVING, eyes.no_sleep, eyes.read_once, scale_u16,
        exchanged, no_lines, still_busy, copied, alike, other_order, never_kept, fixed,
        small_swing, not_extreme,
        *bound([eyes.left_on, eyes.left_braked], costs=[on_line]), off_line,
    ),
    facts=Line,
)  # fmt: skip
"""Eight points."""
