"""Mistakes that make a tug weave along the line: gains, and rounds that are too long for them."""

from __future__ import annotations

from robotsim.board.costs import CHARACTER
from robotsim.units import SECOND

from ...readings.gains import Law, law
from ...readings.line import Course
from ...task import Clues, Evidence
from ...words import amount, percent
from ..trials import known
from .trial import Trial

__all__ = ["ROUGHLY", "gain_high", "kinds"]

_ROUGH = 50.0
"""Degrees a metre beyond those of the line that are weaving."""
_OFTEN = 0.8
"""So many times a second it then steers to one side."""
_FITS = 0.6
"""Share of the steering that a law must explain to be the one that was written."""
_MUCH_KP, _MUCH_KD = 0.085, 0.003
"""Gains at which some tugs begin to weave, and to tremble, with rounds of 40 ms."""
_MUCH_PRINTED = 0.5
"""Share of the time that is spent on printing, and lengthens the rounds to twice what they were."""


def kinds(went: Course) -> set[float]:
    """Give what the right motor got more than the left one under way, each amount once."""
    return {round(went.steer[k], 2) for k in went.span}


def _weaves(one: Trial) -> str | None:
    """Tell of weaving to and fro across the line."""
    went = one.went
    if went.right_way is None or went.right_way < 0.5 or went.metres < 0.2:
        return None
    signs = [went.steer[k] > 0 for k in went.span if abs(went.steer[k]) > 0.04]
    turns = sum(a != b for a, b in zip(signs, signs[1:], strict=False))
    often = turns / (2 * went.seconds)
    if went.weaving < _ROUGH or often < _OFTEN:
        return None
    return (
        f"it weaved {often:.1f} times a second and turned {went.weaving:.0f} degrees a metre more "
        "than the line does"
    )


def _law_told(found: Law) -> str:
    return (
        f"by what its eyes read and its motors got it steers with KP = {found.kp:.3f} and "
        f"KD = {amount(found.kd, 4)}"
    )


@known(
    "derivative too high",
    "the position comes in steps of some mm, and each step is taken for a great speed: make `KD` "
    "smaller, 0.003 or less, and leave `KP`.",
)
def derivative_high(one: Trial) -> Clues:
    found, clue = law(one.recording), _weaves(one)
    if clue and found and found.fit > _FITS and found.kd > _MUCH_KD and found.kp < _MUCH_KP:
        yield f"{clue}; {_law_told(found)}"


@known(
    "derivative with the wrong sign",
    "`steer = KP * position + KD * rate`, with a plus, and rate = (position - last) / 0.04: while "
    "the line comes nearer, the derivative must steer less.",
)
def derivative_sign(one: Trial) -> Clues:
    found, clue = law(one.recording), _weaves(one)
    if clue and found and found.fit > _FITS and found.by_rate > 0.1 and found.kd < 0:
        yield f"{clue}; {_law_told(found)}"


@known(
    "printing slows the loop",
    "while it prints the tug neither looks nor steers: print in every tenth round, or not at all.",
    sure=False,
)
def prints_much(one: Trial) -> Clues:
    went, clue = one.went, _weaves(one)
    begin, end = went.t[went.span[0]], went.t[went.last]
    said = sum(len(line) + 2 for at, line in one.recording.printed if begin <= at <= end)
    spent = said * CHARACTER / SECOND
    if clue and spent > _MUCH_PRINTED * (end - begin):
        yield f"{clue}; printing took {percent(spent / (end - begin))} of that time"


@known("gain too high", "steer less for the same error; a shorter loop helps too.")
def gain_high(one: Trial) -> Clues:
    """Tell of weaving, and by which law if one is found."""
    clue = _weaves(one)
    if not clue:
        return
    if len(kinds(one.went)) <= 3:
        yield Evidence(clue, "let the two efforts differ less; a shorter loop helps too.")
        return
    found = law(one.recording)
    if found is not None and found.fit > _FITS:
        clue += f"; {_law_told(found)}"
    damped = found is not None and found.kd > 0.0005
    more = "" if damped else ", or add the derivative, with a plus before `KD`"
    yield Evidence(
        clue,
        "steer less for the same error: take half of the `KP` at which it weaves without end"
        f"{more}; a shorter loop helps too.",
    )


ROUGHLY = (derivative_sign, prints_much, derivative_high, gain_high)
"""The likeliest first."""
